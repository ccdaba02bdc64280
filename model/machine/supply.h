// Pressure that the machine holds for its rows: a regulator that follows its set point with a lag;
// and the voltage that battery and harness leave at a row's driver.
//
//   dp/dt = (set - p)/tau: while the set point is held, p closes on it by 1 - exp(-dt/tau)
//
//   u_row = u - R_common (i_others + i_row) - R_row i_row, not below 0
//
// The bench adds the ripple of pump and supply (sim/bench/supply_line.h).
// State    the regulated pressure, kept by the caller
// Errors   EXPECTS lag >= 0, min <= max, step >= 0
// Valid    the pump's flow does not reach its limit; every row sees the same pressure at its hose
//          (else model/machine/manifold.h); resistances alone, no inductance of the harness
// Source   first-order lag: textbook linear systems
// Checked  tests/model/machine/speed_signal_test.cc, tests/sim/bench/supply_exchange_test.cc
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

/// Regulated pressure after one step, from the pressure before it; set points outside the range are
/// held at its ends.
inline double regulated_pa(double pressure_pa, double setpoint_pa, double step_s,
                           const Regulator& regulator) {
  EXPECTS(regulator.lag_s >= 0.0 && regulator.min_pa <= regulator.max_pa && step_s >= 0.0);
  const double goal_pa = std::clamp(setpoint_pa, regulator.min_pa, regulator.max_pa);
  if (regulator.lag_s == 0.0) return goal_pa;
  return pressure_pa - (goal_pa - pressure_pa) * expm1_of(-step_s / regulator.lag_s);
}

struct Harness {
  double common_ohm = 0.0;  // battery and wires that all rows share
  double row_ohm = 0.0;     // this row's own
};

inline double driver_voltage_v(double source_v, double others_a, double own_a,
                               const Harness& harness) {
  return std::max(0.0,
                  source_v - harness.common_ohm * (others_a + own_a) - harness.row_ohm * own_a);
}

}  // namespace model
