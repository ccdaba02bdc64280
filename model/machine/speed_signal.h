// The speed and course that are reported to the controller: late, as samples, in whole steps.
//
//   lag      tau dy/dt + y = u of the true speed and yaw rate. Over a stretch u = u0 + a s the
//            answer is exact: y(s) = u0 + a (s - tau) + (y0 - u0 + a tau) exp(-s/tau). A step of u
//            leaves y as it is. Steady before the first knot (y = u). tau = 0 passes u on.
//   course   c_lagged = c - tau * yaw_lagged, as the course is the integral of the yaw rate and
//            lags commute
//   update   sample k is taken at k * period and holds until the next
//   steps    (value + sd * draw) rounded to the nearest quantum, halves away from zero; quantum 0
//            keeps the value
//
// State    none: the lagged value at each knot is computed once, everything else is a pure
//          function of time and draw
// Errors   EXPECTS lag >= 0, period > 0, quanta >= 0
// Source   first-order lag driven by a ramp: textbook linear systems
// Checked  tests/model/machine/speed_signal_test.cc
#pragma once

#include <vector>

#include "model/machine/travel.h"

namespace model {

struct SpeedSignalParams {
  double lag_s = 0.3;
  double period_s = 0.1;
  double speed_noise_mps = 0.02;     // sd of each sample
  double speed_quantum_mps = 0.001;  // resolution of ISO 11783-7 ground-based speed
  double yaw_quantum_radps = 1e-4;
  double course_quantum_rad = 1e-4;  // resolution of course over ground
};

struct SpeedSignal {
  Travel travel;
  SpeedSignalParams params;
  std::vector<double> lagged_speed_mps;  // at each knot
  std::vector<double> lagged_yaw_radps;
};

struct SpeedReading {
  double taken_s = 0.0;  // instant of the sample
  double speed_mps = 0.0;
  double yaw_rate_radps = 0.0;
  double course_rad = 0.0;  // since time 0, not wrapped
};

SpeedSignal make_speed_signal(Travel travel, const SpeedSignalParams& params);
/// Motion with the lag alone, without noise and steps, at any time.
SpeedReading lagged_motion_at(const SpeedSignal& signal, double time_s);
/// Sample k, as it stands in the frame.
SpeedReading speed_sample(const SpeedSignal& signal, long long k, double speed_normal_ratio);

}  // namespace model
