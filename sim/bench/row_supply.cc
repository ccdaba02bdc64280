// What a row of the bench meets of the supply, and what it takes from it: pressure of regulator or
// manifold, voltage, the coil's heat, air once the tank is empty, and the faults of these.
#include <algorithm>
#include <cmath>

#include "model/machine/supply.h"
#include "model/valve/copper.h"
#include "sim/bench/row_bench.h"
#include "sim/scenario/faults/catalog.h"

namespace sim::bench {
namespace {

/// A wholly plugged outlet still weeps a millionth: the orifice law has no answer at zero area.
constexpr double kLeastOpen_ratio = 1e-6;

double line_volume_m3(const model::Line& line) {
  return 0.25 * shared::kPi_ratio * line.bore_m * line.bore_m * line.length_m;
}

}  // namespace

void RowBench::meet_supply(shared::Instant start, const SharedSupply& met) {
  met_ = met;
  const scenario::PlantSeam seam = scenario::plant_at(scenario_, row_, start.seconds());
  sag_ratio_ = seam.supply_pressure_ratio;
  RegulatorState regulator = met.regulator;
  if (met.share.compliance_m3ppa > 0.0)
    regulator.setpoint_pa = regulator.pressure_pa = met.share.pressure_pa;
  regulator.pressure_pa *= sag_ratio_;
  regulator.setpoint_pa *= sag_ratio_;
  if (unit_ && seam.outlet_area_ratio != outlet_open_ratio_) {
    outlet_open_ratio_ = seam.outlet_area_ratio;
    model::Outlet outlet = fixed_.liquid_path.outlet;
    outlet.bore_m *= std::sqrt(std::max(outlet_open_ratio_, kLeastOpen_ratio));
    unit_->set_outlet(outlet);
  }
  if (unit_ && seam.seat_rim_ratio != seat_open_ratio_) {
    seat_open_ratio_ = seam.seat_rim_ratio;
    unit_->set_seat_open(seat_open_ratio_);
  }
  if (met.air && std::isnan(record_.air_from_s)) {
    record_.air_from_s = start.seconds();
    plug_left_m3_ = line_volume_m3(fixed_.liquid_path.hose) +
                    line_volume_m3(fixed_.liquid_path.tube) - last_.outlet_void_m3;
  }
  supply_.start_slot(scenario_, regulator, seam.supply_voltage_ratio, ripple_phase_rad_,
                     now_.seconds(), step_.seconds());
}

/// The coil's own heat since the last time, at its resistance of then, moves its temperature.
void RowBench::warm_coil() {
  if (!unit_ || run_s_ == 0.0) return;
  const model::Coil& coil = fixed_.liquid_path.valve.coil;
  const double power_w = model::copper_ohm(coil.resistance_ohm, coil_k_) * square_a2s_ / run_s_;
  coil_k_ = model::warmed_k(
      coil_k_, power_w, run_s_,
      {.thermal_kpw = coil.thermal_kpw,
       .time_s = coil.thermal_time_s,
       .ambient_k = coil.ambient_k > 0.0 ? coil.ambient_k : scenario_.liquid.temperature_k});
  unit_->set_coil_resistance(model::copper_ohm(coil.resistance_ohm, coil_k_));
  run_s_ = square_a2s_ = 0.0;
}

/// Share and hose together give the pressure of this step.
void RowBench::draw_from_manifold() {
  model::ManifoldShare& share = met_.share;
  if (unit_) {
    share.pressure_pa =
        share.next_pa(step_.seconds(), unit_->wave_at_supply_pa(), unit_->supply_impedance_paspm3(),
                      sag_ratio_ * supply_.ripple_over_smooth_ratio());
  } else {
    share.pressure_pa +=
        (share.fed_m3ps * step_.seconds() - last_.inlet_volume_m3) / share.compliance_m3ppa;
  }
  supply_.hold_pa(sag_ratio_ * share.pressure_pa);
}

double RowBench::driver_voltage_v() const {
  const double voltage_v = supply_.voltage_v();
  if (!met_.sags) return voltage_v;
  const scenario::SupplySection& supply = scenario_.supply;
  return model::driver_voltage_v(
      voltage_v, met_.rows_a - own_mean_a_, own_a_,
      {.common_ohm = supply.harness_ohm, .row_ohm = supply.row_harness_ohm});
}

void RowBench::note_draw(const model::RowStepInput& input, const model::RowStepOutput& out) {
  draw_.inlet_volume_m3 += out.inlet_volume_m3;
  own_a_ = out.current_a * (input.drive_ratio - input.reverse_ratio) -
           std::abs(out.current_a) * input.fast_decay_ratio;
  draw_.charge_as += own_a_ * step_.seconds();
  square_a2s_ += out.current_a * out.current_a * step_.seconds();
}

/// The tank is empty: what enters the hose is air, and what leaves is liquid only as long as that
/// of hose and tube lasts.
void RowBench::leave_air_out(shared::Instant step_start, model::RowStepOutput& out) {
  air_in_m3_ += out.inlet_volume_m3;
  out.inlet_volume_m3 = 0.0;
  const double liquid_m3 = std::min(out.jet_volume_m3, plug_left_m3_);
  plug_left_m3_ -= liquid_m3;
  air_out_m3_ += out.jet_volume_m3 - liquid_m3;
  out.outlet_flow_m3ps *= out.jet_volume_m3 > 0.0 ? liquid_m3 / out.jet_volume_m3 : 0.0;
  out.jet_volume_m3 = liquid_m3;
  if (plug_left_m3_ > 0.0) return;
  out.outlet_flow_m3ps = 0.0;
  if (std::isnan(record_.dry_from_s)) record_.dry_from_s = step_start.seconds();
}

}  // namespace sim::bench
