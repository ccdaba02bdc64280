#include "sim/bench/row_supply.h"

#include <cmath>

#include "model/machine/supply.h"

namespace sim::bench {

void RowSupply::begin_slot(const SharedSupply& shared, const scenario::PlantSeam& seam,
                           shared::Instant now, shared::Duration step) {
  shared_ = shared;
  sag_ratio_ = seam.supply_pressure_ratio;
  RegulatorState regulator = shared.regulator;
  if (shared.share.compliance_m3ppa > 0.0)
    regulator.setpoint_pa = regulator.pressure_pa = shared.share.pressure_pa;
  regulator.pressure_pa *= sag_ratio_;
  regulator.setpoint_pa *= sag_ratio_;
  line_.start_slot(scenario_, regulator, seam.supply_voltage_ratio, ripple_phase_rad_,
                   now.seconds(), step.seconds());
}

void RowSupply::draw_from_manifold(RowPlant& plant, const model::RowStepOutput& last) {
  model::ManifoldShare& share = shared_.share;
  if (share.compliance_m3ppa <= 0.0) return;
  plant.draw_from(share, sag_ratio_ * line_.ripple_over_smooth_ratio(), last.inlet_volume_m3);
  line_.hold_pa(sag_ratio_ * share.pressure_pa);
}

double RowSupply::driver_voltage_v() const {
  const double voltage_v = line_.voltage_v();
  if (!shared_.sags) return voltage_v;
  const scenario::SupplySection& supply = scenario_.supply;
  return model::driver_voltage_v(
      voltage_v, shared_.rows_a - own_mean_a_, own_a_,
      {.common_ohm = supply.harness_ohm, .row_ohm = supply.row_harness_ohm});
}

void RowSupply::book(const model::RowStepInput& input, const model::RowStepOutput& out,
                     double step_s) {
  draw_.inlet_volume_m3 += out.inlet_volume_m3;
  own_a_ = out.current_a * (input.drive_ratio - input.reverse_ratio);
  // Without a clamp that burns it, fast decay gives its current back to the supply.
  if (scenario_.attachment.valve.coil.clamp_v == 0.0)
    own_a_ -= std::abs(out.current_a) * input.fast_decay_ratio;
  draw_.charge_as += own_a_ * step_s;
  drawn_j_ += input.supply_voltage_v * own_a_ * step_s;
}

void RowSupply::end_slot(double ran_s, double slot_s) {
  own_mean_a_ = ran_s > 0.0 ? draw_.charge_as / ran_s : own_a_;
  // Steps do not end with the slot: the slot is charged the mean over its own length.
  draw_.charge_as = own_mean_a_ * slot_s;
}

}  // namespace sim::bench
