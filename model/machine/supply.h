// Pressure that the machine holds for its rows: a regulator that follows its set point with a lag.
//
//   dp/dt = (set - p)/tau: while the set point is held, p closes on it by 1 - exp(-dt/tau)
//
// The ripple of pump and supply rides on top and is the bench's (sim/bench/supply_line.h).
// State    the regulated pressure, kept by the caller
// Errors   EXPECTS lag >= 0, min <= max, step >= 0
// Valid    the pump's flow does not reach its limit; every row sees the same pressure at its hose
// Source   first-order lag: textbook linear systems
// Checked  tests/model/speed_signal_test.cc
#pragma once

#include <algorithm>

#include "model/reproducible_math.h"
#include "shared/check.h"

namespace model {

struct Regulator {
  double min_pa = 0.0;  // the least that it holds
  double max_pa = 5e5;  // the most that the pump holds
  double lag_s = 0.2;
};

/// Regulated pressure after one step, from that before; set points outside the range are held at
/// its ends.
inline double regulated_pa(double pressure_pa, double setpoint_pa, double step_s,
                           const Regulator& regulator) {
  EXPECTS(regulator.lag_s >= 0.0 && regulator.min_pa <= regulator.max_pa && step_s >= 0.0);
  const double goal_pa = std::clamp(setpoint_pa, regulator.min_pa, regulator.max_pa);
  if (regulator.lag_s == 0.0) return goal_pa;
  return pressure_pa - (goal_pa - pressure_pa) * expm1_of(-step_s / regulator.lag_s);
}

}  // namespace model
