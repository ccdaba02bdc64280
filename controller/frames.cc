#include "controller/frames.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kMostSpeedUmps = 20'000'000;
constexpr std::int32_t kMostYawUradps = 2'000'000;
constexpr std::int32_t kMostRateNm = 100'000;         // 1000 l/ha
constexpr std::int32_t kMostPressurePa = 10'000'000;  // 100 bar
constexpr std::int32_t kMostFlowMm3ps = 500'000;
constexpr std::int32_t kAccelStepUmps2 = 20'000;
constexpr std::uint16_t kLastSpeedValue = 0xfaff;   // above: error, reserved or not available
constexpr std::int32_t kFullCircleSteps = 62'832;   // of 1e-4 rad
constexpr std::int32_t kMostFieldE11 = 10'000'000;  // 1000 l/ha
constexpr std::uint8_t kProcessValue = 3;
constexpr std::uint16_t kRateSetPoint = 1;  // set point volume per area application rate
constexpr std::uint8_t kDirectionReverse = 0;
constexpr std::uint8_t kDirectionForward = 1;

std::uint16_t get16(const sillion_frame& frame, int at) {
  return static_cast<std::uint16_t>(frame.bytes[at] | (frame.bytes[at + 1] << 8));
}
std::uint32_t get32(const sillion_frame& frame, int at) {
  return static_cast<std::uint32_t>(get16(frame, at)) |
         (static_cast<std::uint32_t>(get16(frame, at + 2)) << 16);
}
void put16(sillion_frame& frame, int at, std::uint16_t value) {
  frame.bytes[at] = static_cast<std::uint8_t>(value & 0xff);
  frame.bytes[at + 1] = static_cast<std::uint8_t>(value >> 8);
}
void put32(sillion_frame& frame, int at, std::uint32_t value) {
  put16(frame, at, static_cast<std::uint16_t>(value & 0xffff));
  put16(frame, at + 2, static_cast<std::uint16_t>(value >> 16));
}
std::int32_t get24(const sillion_frame& frame, int at) {
  return get16(frame, at) | (frame.bytes[at + 2] << 16);
}
void put24(sillion_frame& frame, int at, std::int32_t value) {
  put16(frame, at, static_cast<std::uint16_t>(value & 0xffff));
  frame.bytes[at + 2] = static_cast<std::uint8_t>((value >> 16) & 0xff);
}
std::int32_t as24(std::int32_t value) { return std::clamp<std::int32_t>(value, 0, 0xff'ffff); }
std::uint16_t as16(std::int32_t value) {
  return static_cast<std::uint16_t>(std::clamp<std::int32_t>(value, 0, 0xffff));
}
bool within(std::int32_t value, std::int32_t least, std::int32_t most) {
  return value >= least && value <= most;
}
sillion_frame empty_frame(std::uint32_t id, std::uint8_t length, std::uint8_t sender) {
  sillion_frame frame{};
  frame.id = id;
  frame.length = length;
  frame.sender = sender;
  return frame;
}

}  // namespace

bool decode(const sillion_frame& frame, MotionFrame& motion) {
  if (frame.id != SILLION_FRAME_MOTION || frame.length != 16) return false;
  if (frame.sender != kSenderMachine) return false;
  motion.sequence = get16(frame, 0);
  motion.valid_ms = get16(frame, 2);
  motion.age_ms = get16(frame, 4);
  motion.work = frame.bytes[6];
  const auto steps = static_cast<std::int8_t>(frame.bytes[7]);
  motion.accel_umps2 = steps == INT8_MIN ? 0 : steps * kAccelStepUmps2;
  motion.speed_umps = static_cast<std::int32_t>(get32(frame, 8));
  motion.yaw_uradps = static_cast<std::int32_t>(get32(frame, 12));
  return within(motion.speed_umps, -kMostSpeedUmps, kMostSpeedUmps) &&
         within(motion.yaw_uradps, -kMostYawUradps, kMostYawUradps);
}

bool decode(const sillion_frame& frame, SetPointFrame& set_point) {
  if (frame.id != SILLION_FRAME_SETPOINT || frame.length != 16) return false;
  if (frame.sender != kSenderMachine) return false;
  set_point.sequence = get16(frame, 0);
  set_point.valid_ms = get16(frame, 2);
  set_point.rate_nm = static_cast<std::int32_t>(get32(frame, 4));
  set_point.pressure_pa = static_cast<std::int32_t>(get32(frame, 8));
  set_point.machine_us = get32(frame, 12);
  return within(set_point.rate_nm, 0, kMostRateNm) &&
         within(set_point.pressure_pa, 0, kMostPressurePa);
}

bool decode(const sillion_frame& frame, RowReportFrame& row_report) {
  if (frame.id != SILLION_FRAME_ROW_REPORT || frame.length != 16) return false;
  row_report.sequence = get16(frame, 0);
  row_report.row = frame.bytes[2];
  row_report.state = frame.bytes[3];
  row_report.alarms = get16(frame, 4);
  row_report.seeds = get16(frame, 6);
  row_report.bands = get16(frame, 8);
  row_report.flow_mm3ps = get24(frame, 10);
  row_report.wanted_mm3ps = get24(frame, 13);
  return frame.sender == row_report.row && within(row_report.flow_mm3ps, 0, kMostFlowMm3ps) &&
         within(row_report.wanted_mm3ps, 0, kMostFlowMm3ps);
}

bool decode(const sillion_frame& frame, GroundSpeed& ground_speed) {
  if (frame.id != SILLION_BUS_GROUND_SPEED || frame.length != 8) return false;
  const std::uint16_t value = get16(frame, 0);
  const auto direction = static_cast<std::uint8_t>(frame.bytes[7] & 3);
  // A speed whose direction is not known cannot be shown to be forward: it counts as no speed.
  if (direction != kDirectionReverse && direction != kDirectionForward) return false;
  const std::int32_t speed_umps = value * 1000;
  if (value > kLastSpeedValue || speed_umps > kMostSpeedUmps) return false;
  ground_speed.speed_umps = direction == kDirectionForward ? speed_umps : -speed_umps;
  return true;
}

bool decode(const sillion_frame& frame, CourseSpeed& course_speed) {
  if (frame.id != SILLION_BUS_COURSE_SPEED || frame.length != 8) return false;
  const std::uint16_t course = get16(frame, 2);
  const std::uint16_t speed = get16(frame, 4);
  course_speed.course_known = course <= kFullCircleSteps;
  course_speed.course_urad = course * 100;
  course_speed.speed_umps = speed * 10'000;
  course_speed.speed_known = course_speed.speed_umps <= kMostSpeedUmps;
  return course_speed.course_known || course_speed.speed_known;
}

bool decode(const sillion_frame& frame, RateFrame& rate) {
  if (frame.id != SILLION_BUS_RATE || frame.length != 8) return false;
  rate.sets_rate = (frame.bytes[0] & 0x0f) == kProcessValue && get16(frame, 2) == kRateSetPoint;
  rate.field_e11 = static_cast<std::int32_t>(get32(frame, 4));
  return !rate.sets_rate || within(rate.field_e11, 0, kMostFieldE11);
}

sillion_frame encode(const MotionFrame& motion) {
  sillion_frame frame = empty_frame(SILLION_FRAME_MOTION, 16, kSenderMachine);
  put16(frame, 0, motion.sequence);
  put16(frame, 2, as16(motion.valid_ms));
  put16(frame, 4, as16(motion.age_ms));
  frame.bytes[6] = motion.work;
  const std::int64_t steps = divide_rounded(motion.accel_umps2, kAccelStepUmps2);
  const auto held = static_cast<std::int8_t>(std::clamp<std::int64_t>(steps, -127, 127));
  frame.bytes[7] = static_cast<std::uint8_t>(held);
  put32(frame, 8, static_cast<std::uint32_t>(motion.speed_umps));
  put32(frame, 12, static_cast<std::uint32_t>(motion.yaw_uradps));
  return frame;
}

sillion_frame encode(const SetPointFrame& set_point) {
  sillion_frame frame = empty_frame(SILLION_FRAME_SETPOINT, 16, kSenderMachine);
  put16(frame, 0, set_point.sequence);
  put16(frame, 2, as16(set_point.valid_ms));
  put32(frame, 4, static_cast<std::uint32_t>(set_point.rate_nm));
  put32(frame, 8, static_cast<std::uint32_t>(set_point.pressure_pa));
  put32(frame, 12, set_point.machine_us);
  return frame;
}

sillion_frame encode(const RowReportFrame& row_report) {
  sillion_frame frame = empty_frame(SILLION_FRAME_ROW_REPORT, 16, row_report.row);
  put16(frame, 0, row_report.sequence);
  frame.bytes[2] = row_report.row;
  frame.bytes[3] = row_report.state;
  put16(frame, 4, row_report.alarms);
  put16(frame, 6, row_report.seeds);
  put16(frame, 8, row_report.bands);
  put24(frame, 10, as24(row_report.flow_mm3ps));
  put24(frame, 13, as24(row_report.wanted_mm3ps));
  return frame;
}

bool send(sillion_output& out, const sillion_frame& frame) {
  if (out.frame_count >= SILLION_FRAMES_MAX) return false;
  out.frames[out.frame_count++] = frame;
  return true;
}

}  // namespace controller
