// The machine's speed and yaw rate from the tractor's bus.
//
//   speed   a line through the last 2.8 s of ground-based speed, compensated for the signal's
//           stated lag: v = x + s * lag. Right for a delayed signal and for a first-order lag alike
//           once a ramp has settled; for the latter also before.
//   yaw     slope of the course over the last 1.5 s. The course lags like the speed does, so the
//           beginning of a curve is seen late by that lag (there is no second slope to correct it).
//   Speed over ground of the course message stands in when ground-based speed has been silent 1 s.
//
// In       bus frames with receive stamps       Out   um/s, um/s2, urad/s at measured_ticks
// Valid    signal noise near 0.02 m/s at 10 Hz: sd of v below 0.008 m/s at constant speed
// State    two trackers
// Errors   bad frames are counted, wild samples set aside once, reverse is believed at once
// Checked  tests/controller/speed_estimate_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "controller/tracker.h"
#include "shared/controller_abi.h"

namespace controller {

struct SpeedEstimate {
  std::int32_t lag_us = 0;
  Tracker speed;
  Tracker course;
  bool known = false;
  std::uint32_t measured_ticks = 0;
  std::uint32_t ground_ticks = 0;  // last ground-based speed
  bool ground_heard = false;
  std::int32_t speed_umps = 0;  // lag compensated
  std::int32_t accel_umps2 = 0;
  std::int32_t yaw_uradps = 0;
};

SpeedEstimate speed_estimate_for(const sillion_config& config);
/// True when the frame brought a new speed.
bool take_bus_frame(SpeedEstimate& estimate, const sillion_frame& frame, Report& report);
/// Call once per tick: forgets what is too old, long before the counter could alias.
void forget_old_signals(SpeedEstimate& estimate, std::uint32_t now_ticks);

}  // namespace controller
