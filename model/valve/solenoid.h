// By each force law: what a steady current pulls at a lift, the current that a pull needs, how the
// pull grows with the lift, and the force that holds a plunger shut.
//
//   growth: dF/dx at a constant current, closed form. Linear: 0. Reluctance: from i(y_m, x) = const
//   dF/dx = c y_m dy_m/dx = c^2 y_m^2 / (c (g - x) + ih ys/(ys - |y_m|)^2). Table: d^2W'/dx^2.
//
// Errors   none; a pull beyond saturation needs an infinite current
// Checked  tests/model/valve/reluctance_test.cc, tests/model/valve/flux_table_test.cc
#pragma once

#include <limits>

#include "model/valve/flux_table.h"
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
  if (coil.force_law == ForceLaw::kTable)
    return flux_of_current(make_flux_table_plan(coil.table), current_a, lift_m).force_n;
  const ReluctancePlan<double> plan = make_reluctance_plan(coil);
  return gap_force_n(plan, gap_linkage_of_current_vs(plan, current_a, lift_m));
}

/// The largest pull that the iron allows; infinite for the other laws and without saturation.
inline double largest_pull_n(const Coil& coil) {
  if (coil.force_law != ForceLaw::kReluctance || coil.reluctance.saturation_vs == 0.0)
    return std::numeric_limits<double>::infinity();
  return gap_force_n(make_reluctance_plan(coil), coil.reluctance.saturation_vs);
}

/// By a table: halvings between currents, because its pull is one parabola per interval.
inline double table_current_for_pull_a(const FluxTablePlan& plan, double wanted_n, double lift_m) {
  constexpr double kMost_a = 1e6;
  double low_a = 0.0, high_a = plan.current_a.back();
  while (flux_of_current(plan, high_a, lift_m).force_n < wanted_n) {
    if (high_a > kMost_a) return std::numeric_limits<double>::infinity();
    low_a = high_a;
    high_a *= 2.0;
  }
  for (int halving = 0; halving < 60; ++halving) {
    const double middle_a = 0.5 * (low_a + high_a);
    (flux_of_current(plan, middle_a, lift_m).force_n < wanted_n ? low_a : high_a) = middle_a;
  }
  return wanted_n > 0.0 ? high_a : 0.0;
}

/// 0 where the remanence alone pulls as much.
inline double current_for_pull_a(const Coil& coil, double pull_n, double lift_m) {
  if (coil.force_law == ForceLaw::kLinear) return pull_n / coil.force_constant_npa;
  if (coil.force_law == ForceLaw::kTable)
    return table_current_for_pull_a(make_flux_table_plan(coil.table), pull_n, lift_m);
  if (pull_n >= largest_pull_n(coil)) return std::numeric_limits<double>::infinity();
  const ReluctancePlan<double> plan = make_reluctance_plan(coil);
  const double gap_vs = std::sqrt(2.0 * max_of(pull_n, 0.0) / plan.per_henry_metre_aptm);
  double current_a = plan.per_henry_metre_aptm * (plan.gap_m - lift_m) * gap_vs - plan.remanence_a;
  if (plan.saturation_vs > 0.0) current_a += plan.half_a * gap_vs / (plan.saturation_vs - gap_vs);
  return max_of(current_a, 0.0);
}

/// How a coil's pull grows with the lift at the constant current that pulls `pull_n` there. Where
/// no current pulls as much, the iron is saturated or the magnet absent: 0.
class PullGrowth {
 public:
  explicit PullGrowth(const Coil& coil)
      : law_(coil.force_law),
        largest_n_(largest_pull_n(coil)),
        iron_(law_ == ForceLaw::kReluctance ? make_reluctance_plan(coil)
                                            : ReluctancePlan<double>{}),
        table_(law_ == ForceLaw::kTable ? make_flux_table_plan(coil.table) : FluxTablePlan{}) {}

  double at_npm(double pull_n, double lift_m) const {
    if (law_ == ForceLaw::kLinear || !(pull_n > 0.0) || pull_n >= largest_n_) return 0.0;
    if (law_ == ForceLaw::kTable) {
      const double current_a = table_current_for_pull_a(table_, pull_n, lift_m);
      return std::isfinite(current_a) ? flux_of_current(table_, current_a, lift_m).growth_npm : 0.0;
    }
    const double c = iron_.per_henry_metre_aptm;  // tidy: unit is A/(V s m)
    const double y_vs = std::sqrt(2.0 * pull_n / c);
    double slope = c * (iron_.gap_m - lift_m);  // tidy: unit is 1/H
    if (iron_.saturation_vs > 0.0) {
      const double left_vs = iron_.saturation_vs - y_vs;
      slope += iron_.half_a * iron_.saturation_vs / (left_vs * left_vs);
    }
    return c * c * y_vs * y_vs / slope;
  }

 private:
  ForceLaw law_;
  double largest_n_;
  ReluctancePlan<double> iron_;
  FluxTablePlan table_;
};

}  // namespace model
