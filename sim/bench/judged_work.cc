#include "sim/bench/judged_work.h"

#include <algorithm>

#include "model/row/row_unit.h"
#include "sim/bench/row_fixed.h"

namespace sim::bench {

double judged_speed_mps(const scenario::Scenario& scenario) {
  if (scenario.travel.profile.empty()) return scenario.travel.speed_mps;
  double fastest_mps = 0.0;
  for (const model::TravelKnot& knot : scenario.travel.profile)
    fastest_mps = std::max(fastest_mps, knot.speed_mps);
  return fastest_mps;
}

double pressure_for_flow_pa(const scenario::Scenario& scenario, double flow_m3ps) {
  const model::RowUnitParams row = nominal_liquid_path(scenario);
  const double lift_m = row.valve.plunger.travel_m;
  double low_pa = 0.0, high_pa = scenario.supply.pressure_pa;
  if (model::steady_flow_m3ps(row, high_pa, lift_m) < flow_m3ps) return high_pa;
  for (int k = 0; k < 60; ++k) {
    const double middle_pa = 0.5 * (low_pa + high_pa);
    (model::steady_flow_m3ps(row, middle_pa, lift_m) >= flow_m3ps ? high_pa : low_pa) = middle_pa;
  }
  return high_pa;
}

PulseTrain train_at(const scenario::Scenario& scenario, double speed_mps, double pressure_pa) {
  PulseTrain train;
  train.pressure_pa = pressure_pa;
  train.voltage_v = scenario.supply.voltage_v;
  train.current_limit_a = scenario.attachment.hold_current_a;
  train.ground_speed_mps = speed_mps;
  train.jet = scenario.attachment.jet;
  train.scatter_ratio = scenario.seeding.meter.scatter_ratio;
  train.period_s = scenario.seeding.meter.spacing_m / speed_mps;
  return train;
}

double on_time_within_s(double wanted_s, const PulseTrain& train) {
  constexpr double kShortest_s = 1e-3;
  return std::clamp(wanted_s, kShortest_s, std::max(kShortest_s, 0.9 * train.period_s));
}

}  // namespace sim::bench
