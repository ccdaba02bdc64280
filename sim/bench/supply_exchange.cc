#include "sim/bench/supply_exchange.h"

#include <cmath>

namespace sim::bench {

SupplyExchange::SupplyExchange(const scenario::Scenario& scenario)
    : supply_(scenario.supply), rows_ratio_(static_cast<double>(scenario.row.count)) {
  if (supply_.manifold.pump_m3ps > 0.0)
    state_ = model::filled_manifold(supply_.manifold, supply_.pressure_min_pa);
}

int SupplyExchange::steps_a_slot(shared::Duration slot) const {
  if (supply_.manifold.pump_m3ps == 0.0 && supply_.harness_ohm == 0.0) return 1;
  return std::max(1, static_cast<int>(std::lround(slot.seconds() / supply_.exchange_s)));
}

SharedSupply SupplyExchange::plan(const RegulatorState& regulator, double step_s) {
  SharedSupply shared{.regulator = regulator,
                      .air = state_.air_at_row,
                      .sags = supply_.harness_ohm > 0.0 || supply_.row_harness_ohm > 0.0,
                      .rows_a = rows_a_};
  if (supply_.manifold.pump_m3ps == 0.0) return shared;
  flows_ = model::plan_flows(supply_.manifold, state_, regulator.setpoint_pa, step_s, rows_m3ps_);
  const double abs_pa = supply_.manifold.atmosphere_pa + state_.pressure_pa;
  const double fill_m3ps =
      state_.air ? flows_.pump_m3ps * supply_.manifold.atmosphere_pa / abs_pa : flows_.pump_m3ps;
  shared.share = {
      .pressure_pa = state_.pressure_pa,
      .fed_m3ps = (fill_m3ps - flows_.relief_m3ps) / rows_ratio_,
      .compliance_m3ppa = model::compliance_m3ppa(supply_.manifold, state_) / rows_ratio_};
  return shared;
}

void SupplyExchange::book(std::span<const RowDraw> draws, double step_s,
                          RegulatorState& regulator) {
  double rows_m3 = 0.0;
  double charge_as = 0.0;  // tidy: unit A s
  for (const RowDraw& draw : draws) {
    rows_m3 += draw.inlet_volume_m3;
    charge_as += draw.charge_as;
  }
  rows_a_ = charge_as / step_s;
  if (supply_.manifold.pump_m3ps == 0.0) return;
  rows_m3ps_ = rows_m3 / step_s;
  model::book_flows(supply_.manifold, flows_, step_s, rows_m3, state_);
  regulator.pressure_pa = state_.pressure_pa;
}

}  // namespace sim::bench
