// What the machine supplies to its rows: pressure behind a regulator, and voltage, each with its
// ripple.
//
//   regulator  dp/dt = (set - p)/tau: over a step with the set point held, p moves to the set point
//              by 1 - exp(-dt/tau)
//   pressure   p (1 + ripple sin(2 pi f t))          voltage   u + ripple sin(2 pi f t)
//
// State    the regulated pressure, kept by the caller        Errors   EXPECTS lag >= 0, min <= max,
//          dt >= 0
// Valid    the pump's flow does not reach its limit; every row sees the same pressure at its hose
// Source   first-order lag: textbook linear systems; ripple figures are this project's own
//          assumption
// Checked  tests/model/speed_signal_test.cc
#pragma once

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

struct Regulator {
  double min_pa = 0.0;  // the least that it holds
  double max_pa = 5e5;  // the most that the pump holds
  double lag_s = 0.2;
};

struct Ripple {
  double amplitude =
      0.0;  // of a sine: ratio for pressure, V for voltage  (tidy: unit is the use's)
  double frequency_hz = 0.0;
};

/// Regulated pressure after one step, from the one before; set points outside the range are held at
/// its ends.
inline double regulated_pa(double pressure_pa, double setpoint_pa, double step_s,
                           const Regulator& regulator) {
  EXPECTS(regulator.lag_s >= 0.0 && regulator.min_pa <= regulator.max_pa && step_s >= 0.0);
  const double goal_pa = std::clamp(setpoint_pa, regulator.min_pa, regulator.max_pa);
  if (regulator.lag_s == 0.0) return goal_pa;
  return pressure_pa - (goal_pa - pressure_pa) * expm1_of(-step_s / regulator.lag_s);
}

/// Sine of unit amplitude that starts at 0 with time 0. Whole periods are taken off first, so that
/// the hundredth minute
/// is as exact as the first.
inline double ripple_wave_ratio(double time_s, const Ripple& ripple) {
  const double periods_ratio = time_s * ripple.frequency_hz;
  return sin_of(2.0 * shared::kPi_ratio * (periods_ratio - std::floor(periods_ratio)));
}

inline double rippled_pressure_pa(double pressure_pa, double time_s, const Ripple& ripple) {
  return pressure_pa * (1.0 + ripple.amplitude * ripple_wave_ratio(time_s, ripple));
}

inline double rippled_voltage_v(double voltage_v, double time_s, const Ripple& ripple) {
  return voltage_v + ripple.amplitude * ripple_wave_ratio(time_s, ripple);
}

}  // namespace model
