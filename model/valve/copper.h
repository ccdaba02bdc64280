// Resistance of a copper winding over its temperature, and how it warms.
//
//   R/R20 = (234.5 + T)/254.5, T in C: written as 1 + (T - 20)/254.5, which is 1 to the bit at 20 C
//   tau dT/dt = T_ambient + P R_th - T: exact over a step at constant power
//
// In       K, W, K/W, s        Out   ohm, K        State   the temperature, the caller's
// Errors   EXPECTS time constant > 0, R_th >= 0
// Valid    one temperature for the whole winding; force constant and plunger do not warm
// Source   resistance method for windings, 234.5 of annealed copper (checks: -10 to 80 C)
// Checked  tests/model/valve/copper_test.cc, tests/published/actuator_test.cc
#pragma once

#include "model/reproducible_math.h"
#include "shared/check.h"

namespace model {

inline constexpr double kTwentyCelsius_k = 293.15;

inline double copper_ohm(double at_20_c_ohm, double temperature_k) {
  return at_20_c_ohm * (1.0 + (temperature_k - kTwentyCelsius_k) / 254.5);
}

/// How a winding gives its heat away; thermal_kpw = 0: its temperature is held.
struct Cooling {
  double thermal_kpw = 0.0;
  double time_s = 60.0;
  double ambient_k = kTwentyCelsius_k;
};

inline double warmed_k(double temperature_k, double power_w, double step_s,
                       const Cooling& cooling) {
  EXPECTS(cooling.thermal_kpw >= 0.0 && cooling.time_s > 0.0);
  if (cooling.thermal_kpw == 0.0) return temperature_k;
  const double goal_k = cooling.ambient_k + power_w * cooling.thermal_kpw;
  return temperature_k - (goal_k - temperature_k) * expm1_of(-step_s / cooling.time_s);
}

}  // namespace model
