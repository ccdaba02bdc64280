// By either force law: what a steady current pulls at a lift, the current that a pull needs, and
// the force that holds a plunger shut.
//
// Errors   none; a pull beyond saturation needs an infinite current
// Checked  tests/model/valve/reluctance_test.cc
#pragma once

#include <limits>

#include "model/valve/reluctance.h"

namespace model {

inline double seat_area_m2(const Seat& seat) {
  return shared::kPi_ratio * seat.diameter_m * seat.diameter_m / 4.0;
}

/// What the pull has to overcome before a shut plunger leaves its seat: spring, friction, pressure.
inline double opening_force_n(const Valve& valve, double pressure_pa) {
  return valve.plunger.preload_n + valve.plunger.coulomb_friction_n +
         seat_area_m2(valve.seat) * pressure_pa;
}

inline double pull_of_current_n(const Coil& coil, double current_a, double lift_m) {
  if (coil.force_law == ForceLaw::kLinear) return coil.force_constant_npa * current_a;
  const ReluctancePlan<double> plan = make_reluctance_plan(coil);
  return gap_force_n(plan, gap_linkage_of_current_vs(plan, current_a, lift_m));
}

/// The largest pull that the iron allows; infinite for the linear law and without saturation.
inline double largest_pull_n(const Coil& coil) {
  if (coil.force_law == ForceLaw::kLinear || coil.reluctance.saturation_vs == 0.0)
    return std::numeric_limits<double>::infinity();
  return gap_force_n(make_reluctance_plan(coil), coil.reluctance.saturation_vs);
}

/// 0 where the remanence alone pulls as much.
inline double current_for_pull_a(const Coil& coil, double pull_n, double lift_m) {
  if (coil.force_law == ForceLaw::kLinear) return pull_n / coil.force_constant_npa;
  if (pull_n >= largest_pull_n(coil)) return std::numeric_limits<double>::infinity();
  const ReluctancePlan<double> plan = make_reluctance_plan(coil);
  const double gap_vs = std::sqrt(2.0 * max_of(pull_n, 0.0) / plan.per_henry_metre_aptm);
  double current_a = plan.per_henry_metre_aptm * (plan.gap_m - lift_m) * gap_vs - plan.remanence_a;
  if (plan.saturation_vs > 0.0) current_a += plan.half_a * gap_vs / (plan.saturation_vs - gap_vs);
  return max_of(current_a, 0.0);
}

}  // namespace model
