#include "controller/speed_estimate.h"

#include "controller/frames.h"
#include "controller/ticks.h"

namespace controller {
namespace {

// The least noise of a planter's speed signal (0.02 m/s, 10 Hz); a quieter signal is followed as
// well, but a turn is then noticed one sample later than it could be. The gate is what a machine
// can do in one period: 2.5 m/s2 over 0.1 s.
constexpr TrackerSetup kSpeedSetup{20'000, 250'000, 2'800'000, 0};
// Course: 2 mrad is a receiver's scatter under way; the gate is a turn of 2 rad/s over 0.1 s.
constexpr TrackerSetup kCourseSetup{2'000, 200'000, 1'500'000, 6'283'185};
constexpr std::int32_t kMostAccelUmps2 = 5'000'000;
constexpr std::int32_t kMostYawUradps = 2'000'000;
constexpr std::int32_t kSilentUs = 1'000'000;
constexpr std::int32_t kCourseLeastUmps = 300'000;  // below this speed a course is noise
constexpr std::int32_t kForgetUs = 2'000'000;

std::int32_t limited(std::int64_t value, std::int32_t most) {
  return static_cast<std::int32_t>(std::clamp<std::int64_t>(value, -most, most));
}

bool take_speed(SpeedEstimate& estimate, std::int32_t speed_umps, std::uint32_t at_ticks) {
  if (speed_umps < 0 || (estimate.known && estimate.speed_umps < 0)) {
    restart(estimate.speed, speed_umps, at_ticks);
  } else if (take_sample(estimate.speed, kSpeedSetup, speed_umps, at_ticks) != Taken::kUsed) {
    return false;
  }
  estimate.known = true;
  estimate.measured_ticks = at_ticks;
  estimate.accel_umps2 = limited(estimate.speed.slope_ps, kMostAccelUmps2);
  const std::int64_t caught_up =
      estimate.speed.value + std::int64_t{estimate.accel_umps2} * estimate.lag_us / kMicro;
  // Catching up a braking machine must not make it run backwards.
  estimate.speed_umps =
      saturated(speed_umps < 0 ? caught_up : std::max<std::int64_t>(0, caught_up));
  return true;
}

void take_course(SpeedEstimate& estimate, std::int32_t course_urad, std::uint32_t at_ticks) {
  if (!estimate.known || estimate.speed_umps < kCourseLeastUmps) {
    estimate.course = {};
    estimate.yaw_uradps = 0;
    return;
  }
  if (take_sample(estimate.course, kCourseSetup, course_urad, at_ticks) != Taken::kUsed) return;
  estimate.course.value %= kCourseSetup.full_circle;
  estimate.yaw_uradps = limited(estimate.course.slope_ps, kMostYawUradps);
}

}  // namespace

SpeedEstimate speed_estimate_for(const sillion_config& config) {
  SpeedEstimate estimate;
  estimate.lag_us = config.speed_lag_ms * 1000;
  return estimate;
}

bool take_bus_frame(SpeedEstimate& estimate, const sillion_frame& frame, Report& report) {
  const std::int32_t waited_us = since_us(report.now_ticks, frame.received_ticks);
  const bool stamped_badly = waited_us < 0 || waited_us > kSilentUs;
  if (frame.id == SILLION_BUS_GROUND_SPEED) {
    GroundSpeed ground;
    if (!stamped_badly && decode(frame, ground)) {
      estimate.ground_heard = true;
      estimate.ground_ticks = frame.received_ticks;
      return take_speed(estimate, ground.speed_umps, frame.received_ticks);
    }
  } else {
    CourseSpeed course;
    if (!stamped_badly && decode(frame, course)) {
      if (course.course_known) take_course(estimate, course.course_urad, frame.received_ticks);
      if (estimate.ground_heard || !course.speed_known) return false;
      return take_speed(estimate, course.speed_umps, frame.received_ticks);
    }
  }
  ++report.health.bad_frames;
  report.event(SILLION_EVENT_BAD_FRAME, saturated(frame.id));
  return false;
}

void forget_old_signals(SpeedEstimate& estimate, std::uint32_t now_ticks) {
  if (estimate.ground_heard && since_us(now_ticks, estimate.ground_ticks) > kSilentUs) {
    estimate.ground_heard = false;
  }
  if (estimate.known && since_us(now_ticks, estimate.measured_ticks) > kForgetUs) {
    estimate.known = false;
    estimate.speed = {};
    estimate.accel_umps2 = 0;
  }
  if (estimate.course.any && since_us(now_ticks, estimate.course.at_ticks) > kForgetUs) {
    estimate.course = {};
    estimate.yaw_uradps = 0;
  }
}

}  // namespace controller
