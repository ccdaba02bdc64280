// A row with its full physics: valve, hose, tube and outlet of model/row, the coil's own heat, and
// the faults that plug the outlet or the seat.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/valve/copper.h"
#include "sim/bench/errors.h"
#include "sim/bench/row_plant.h"

namespace sim::bench {
namespace {

/// A wholly plugged outlet still weeps a millionth: the orifice law has no answer at zero area.
constexpr double kLeastOpen_ratio = 1e-6;

const char* fault_words(model::RowFault fault) {
  switch (fault) {
    case model::RowFault::kNotANumber: return "not a number";
    case model::RowFault::kNegativeVolume: return "a negative volume";
    case model::RowFault::kBelowVapour: return "a pressure below vapour";
    case model::RowFault::kNone: break;
  }
  return "no fault";
}

bool same_valve(const scenario::PlantSeam& a, const scenario::PlantSeam& b) {
  return a.preload_ratio == b.preload_ratio &&
         a.friction_over_preload_ratio == b.friction_over_preload_ratio &&
         a.leak_ratio == b.leak_ratio && a.coil_resistance_ratio == b.coil_resistance_ratio;
}

class FullRow final : public RowPlant {
 public:
  FullRow(const scenario::Scenario& scenario, const RowFixed& fixed, int row)
      : scenario_(scenario),
        path_(fixed.liquid_path),
        row_(row),
        unit_(path_, scenario.solver, scenario.supply.pressure_min_pa),
        coil_k_(path_.valve.coil.temperature_k) {}

  shared::Duration step_length() const override { return {unit_.fit().step_ns}; }
  double owned_after_s() const override { return 0.9 * unit_.fit().tube_travel_time_s; }
  std::optional<double> stored_volume_m3() const override { return unit_.stored_volume_m3(); }
  double steady_flow_m3ps(double supply_pressure_pa, shared::Instant) const override {
    return model::steady_flow_m3ps(path_, supply_pressure_pa, path_.valve.plunger.travel_m);
  }
  bool open(const model::RowStepOutput& out) const override { return out.lift_m > 0.0; }

  void take_faults(const scenario::PlantSeam& seam) override;
  void commanded_on(shared::Instant, double supply_pressure_pa) override {
    if (scenario_.ideal.still_column) unit_.come_to_rest(supply_pressure_pa);
  }
  void commanded_off(shared::Instant) override {}
  model::RowUnit* unit() override { return &unit_; }
  void took(shared::Instant start, const model::RowStepOutput& out) override;
  model::RowStepOutput step(shared::Instant, const model::RowStepInput& input, double) override {
    return unit_.step(input);
  }
  void draw_from(model::ManifoldShare& share, double ripple_ratio, double) override {
    share.pressure_pa = share.next_pa(step_length().seconds(), unit_.wave_at_supply_pa(),
                                      unit_.supply_impedance_paspm3(), ripple_ratio);
  }
  void end_slot(double ran_s) override;

 private:
  void warm_coil();
  void set_valve();
  void set_coil();

  const scenario::Scenario& scenario_;
  const model::RowUnitParams& path_;
  int row_;
  model::RowUnit unit_;
  long long steps_ = 0;
  double outlet_open_ratio_ = 1.0;
  double seat_open_ratio_ = 1.0;
  scenario::PlantSeam valve_seam_;
  double coil_k_;
  double run_s_ = 0.0, square_a2s_ = 0.0;  // tidy: unit A2 s, since the coil was last warmed
};

void FullRow::take_faults(const scenario::PlantSeam& seam) {
  if (seam.outlet_area_ratio != outlet_open_ratio_) {
    outlet_open_ratio_ = seam.outlet_area_ratio;
    model::Outlet outlet = path_.outlet;
    outlet.bore_m *= std::sqrt(std::max(outlet_open_ratio_, kLeastOpen_ratio));
    unit_.set_outlet(outlet);
  }
  if (seam.seat_rim_ratio != seat_open_ratio_) {
    seat_open_ratio_ = seam.seat_rim_ratio;
    unit_.set_seat_open(seat_open_ratio_);
  }
  if (!same_valve(seam, valve_seam_)) {
    valve_seam_ = seam;
    set_valve();
  }
}

/// The valve as its faults leave it.
void FullRow::set_valve() {
  model::Plunger plunger = path_.valve.plunger;
  plunger.coulomb_friction_n += valve_seam_.friction_over_preload_ratio * plunger.preload_n;
  plunger.preload_n *= valve_seam_.preload_ratio;
  unit_.set_plunger(plunger);
  const double pressure_pa = scenario_.supply.pressure_pa;
  unit_.set_extra_leak(valve_seam_.leak_ratio * steady_flow_m3ps(pressure_pa, {}) / pressure_pa);
  set_coil();
}

void FullRow::set_coil() {
  unit_.set_coil_resistance(valve_seam_.coil_resistance_ratio *
                            model::copper_ohm(path_.valve.coil.resistance_ohm, coil_k_));
}

void FullRow::took(shared::Instant start, const model::RowStepOutput& out) {
  if (out.fault != model::RowFault::kNone)
    throw BenchError(fmt::format(
        "row {}: {} at step {} ({:.6f} s): lift {:.6g} m, current {:.6g} A, valve flow {:.6g} "
        "m3/s, hose end {:.6g} Pa, "
        "valve exit {:.6g} Pa, outlet {:.6g} Pa, cavity {:.6g} m3, void {:.6g} m3",
        row_, fault_words(out.fault), steps_, start.seconds(), out.lift_m, out.current_a,
        out.valve_flow_m3ps, out.hose_end_pressure_pa, out.valve_exit_pressure_pa,
        out.outlet_pressure_pa, out.valve_cavity_m3, out.outlet_void_m3));
  square_a2s_ += out.current_a * out.current_a * step_length().seconds();
  ++steps_;
}

void FullRow::end_slot(double ran_s) {
  run_s_ += ran_s;
  if (path_.valve.coil.thermal_kpw > 0.0) warm_coil();
}

/// Moves the coil's temperature by its own heat since the last call, at its resistance of then.
void FullRow::warm_coil() {
  if (run_s_ == 0.0) return;
  const model::Coil& coil = path_.valve.coil;
  const double power_w = model::copper_ohm(coil.resistance_ohm, coil_k_) * square_a2s_ / run_s_;
  coil_k_ = model::warmed_k(
      coil_k_, power_w, run_s_,
      {.thermal_kpw = coil.thermal_kpw,
       .time_s = coil.thermal_time_s,
       .ambient_k = coil.ambient_k > 0.0 ? coil.ambient_k : scenario_.liquid.temperature_k});
  set_coil();
  run_s_ = square_a2s_ = 0.0;
}

}  // namespace

std::unique_ptr<RowPlant> make_full_row(const scenario::Scenario& scenario, const RowFixed& fixed,
                                        int row) {
  return std::make_unique<FullRow>(scenario, fixed, row);
}

}  // namespace sim::bench
