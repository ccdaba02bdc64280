#include "controller/row_motion.h"

#include "controller/ticks.h"

namespace controller {
namespace {

// A tractor and planter brake with less than this; a larger value is a fault of the sender and
// would throw every seed in flight.
constexpr std::int32_t kMostAccelUmps2 = 5'000'000;
// Twice what a frame may say: a row on the outside of a turn at full speed. Only garbage goes
// beyond.
constexpr std::int64_t kMostSpeedUmps = 40'000'000;

}  // namespace

RowMotion row_motion_for(const sillion_config& config) {
  RowMotion motion;
  motion.row_y_mm = config.row_y_mm;
  motion.timeout_us = static_cast<std::int32_t>(config.speed_timeout_ms) * 1000;
  return motion;
}

void take_motion(RowMotion& motion, const sillion_frame& frame, Report& report) {
  MotionFrame sent;
  if (!decode(frame, sent)) {
    ++report.health.bad_frames;
    report.event(SILLION_EVENT_BAD_FRAME, saturated(frame.id));
    return;
  }
  // A stamp from the future or from long ago belongs to no frame of this call.
  const std::int32_t waited_us = since_us(report.now_ticks, frame.received_ticks);
  if (waited_us < 0 || waited_us > motion.timeout_us ||
      !in_sequence(motion.sequence, sent.sequence)) {
    ++report.health.bad_frames;
    return;
  }
  motion.known = true;
  motion.received_ticks = frame.received_ticks;
  motion.measured_ticks = later(frame.received_ticks, -sent.age_ms * 1000);
  motion.valid_us = sent.valid_ms * 1000;
  const std::int64_t turning_umps = std::int64_t{sent.yaw_uradps} * motion.row_y_mm / 1000;
  motion.speed_umps = saturated(sent.speed_umps - turning_umps);
  motion.accel_umps2 = std::clamp(sent.accel_umps2, -kMostAccelUmps2, kMostAccelUmps2);
}

void drop_stale_speed(RowMotion& motion, std::uint32_t now_ticks) {
  if (!motion.known) return;
  const bool fresh = since_us(now_ticks, motion.measured_ticks) <= motion.timeout_us &&
                     since_us(now_ticks, motion.received_ticks) <= motion.valid_us;
  if (fresh) return;
  motion.known = false;
  motion.sequence = {};
}

std::int32_t row_speed_umps(const RowMotion& motion, std::uint32_t at_ticks) {
  if (!motion.known) return 0;
  const std::int64_t ahead_us = since_us(at_ticks, motion.measured_ticks);
  const std::int64_t speed = motion.speed_umps + ahead_us * motion.accel_umps2 / kMicro;
  return static_cast<std::int32_t>(std::clamp(speed, -kMostSpeedUmps, kMostSpeedUmps));
}

}  // namespace controller
