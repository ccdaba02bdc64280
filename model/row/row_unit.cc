#include "model/row/row_unit.h"

#include <cmath>
#include <span>
#include <stdexcept>
#include <string>

#include "model/denormals.h"
#include "model/fluid/ideal_end.h"
#include "model/row/row_fit.h"
#include "model/row/row_flat.h"
#include "model/row/row_lanes.h"
#include "model/row/row_lines.h"
#include "model/row/row_plan.h"
#include "model/row/row_step.h"
#include "model/valve/copper.h"
#include "model/valve/valve_reference.h"
#include "model/valve/wear.h"
#include "shared/check.h"

namespace model {

namespace {

// Rounding of waves of 10 MPa is 1e-9 Pa; a pressure this far below vapour is a mistake of the
// model.
constexpr double kVapourTolerance_pa = 1e-3;
constexpr double kNoVapour_pa = -1e300;
// With more terms than a fit gives, the published set is used.
constexpr int kMostFittedTerms = 16;

void require(bool holds, const char* what) {
  if (!holds) throw std::invalid_argument(std::string("row unit: ") + what);
}

bool positive(double x_ratio) { return x_ratio > 0.0 && std::isfinite(x_ratio); }
bool not_negative(double x_ratio) { return x_ratio >= 0.0 && std::isfinite(x_ratio); }

void require_line(const Line& line, const char* what) {
  require(positive(line.length_m) && positive(line.bore_m) && positive(line.wave_speed_mps), what);
  require(std::isfinite(line.rise_m), "rise must be a number");
  require(line.creep.empty() || positive(line.wall.thickness_m), "creep needs the wall");
  for (const CreepElement& element : line.creep)
    require(not_negative(element.compliance_ppa) && positive(element.time_s),
            "creep compliance must not be negative, its time positive");
}

void require_reluctance(const Valve& valve) {
  const Reluctance& iron = valve.coil.reluctance;
  require(iron.gap_m > valve.plunger.travel_m && std::isfinite(iron.gap_m),
          "the working gap must be above the travel");
  require(not_negative(iron.leakage_h) && not_negative(iron.saturation_vs) &&
              not_negative(iron.half_current_a) && not_negative(iron.remanence_a) &&
              not_negative(iron.eddy_ohm) && iron.leakage_h < valve.coil.inductance_h,
          "leakage, saturation, half current, remanence and eddy resistance must not be negative, "
          "and the leakage below the inductance");
  require(iron.saturation_vs == 0.0 || iron.leakage_h > 0.0, "saturation needs a leakage above 0");
  require(make_reluctance_plan(valve.coil).per_henry_metre_aptm > 0.0,
          "the iron leaves no inductance to the gap: lower half_current or raise saturation");
}

void require_table(const Valve& valve) {
  const LinkageTable& table = valve.coil.table;
  const std::size_t lifts = table.lift_m.size(), currents = table.current_a.size();
  require(lifts >= 2 && currents >= 2 && table.linkage_vs.size() == lifts * currents,
          "a table of linkage needs 2 lifts and 2 currents, and a linkage for each pair");
  require(table.lift_m.front() <= 0.0 && table.lift_m.back() >= valve.plunger.travel_m,
          "the table's lifts must cover 0 to the travel");
  require(!(table.current_a.front() < 0.0) && !(table.current_a.front() > 0.0),
          "the table's currents must begin at 0");
  require(not_negative(valve.coil.reluctance.eddy_ohm), "eddy resistance must not be negative");
  for (std::size_t k = 0; k < lifts; ++k)
    for (std::size_t l = 0; l < currents; ++l) {
      const double* row_vs = &table.linkage_vs[k * currents];
      require(k == 0 || table.lift_m[k] > table.lift_m[k - 1], "the table's lifts must rise");
      require(l == 0 || table.current_a[l] > table.current_a[l - 1],
              "the table's currents must rise");
      require(l == 0 ? row_vs[0] == 0.0 : row_vs[l] > row_vs[l - 1],
              "the table's linkage must rise with the current, from 0");
    }
}

void require_physical(const RowUnitParams& params, const SolverParams& solver) {
  const Liquid& liquid = params.liquid;
  require(positive(liquid.density_kgpm3), "density must be positive");
  require(not_negative(liquid.viscosity_pas), "viscosity must not be negative");
  require(not_negative(liquid.vapour_pressure_abs_pa) &&
              liquid.vapour_pressure_abs_pa < params.atmosphere_pa,
          "vapour pressure must lie between zero and the atmosphere");
  require_line(params.hose, "hose length, bore and wave speed must be positive");
  require_line(params.tube, "tube length, bore and wave speed must be positive");
  const Coil& coil = params.valve.coil;
  require(positive(coil.resistance_ohm) && positive(coil.inductance_h) &&
              not_negative(coil.force_constant_npa),
          "coil resistance and inductance must be positive");
  if (coil.force_law == ForceLaw::kReluctance) require_reluctance(params.valve);
  if (coil.force_law == ForceLaw::kTable) require_table(params.valve);
  require(not_negative(coil.chop_hz) &&
              coil.chop_hz * static_cast<double>(solver.step_ns) <= 0.5e9 * (1.0 + 1e-12),
          "a chopper's period must be two steps or more");
  require(positive(copper_ohm(1.0, coil.temperature_k)), "the coil is colder than copper's law");
  const Plunger& plunger = params.valve.plunger;
  require(positive(plunger.mass_kg) && positive(plunger.travel_m),
          "plunger mass and travel must be positive");
  require(not_negative(plunger.preload_n) && not_negative(plunger.spring_rate_npm) &&
              not_negative(plunger.damping_nspm) && not_negative(plunger.coulomb_friction_n),
          "preload, spring rate, damping and friction must not be negative");
  require(plunger.restitution_ratio >= 0.0 && plunger.restitution_ratio < 1.0,
          "restitution must lie in [0, 1)");
  const Seat& seat = params.valve.seat;
  require(positive(seat.diameter_m) && positive(seat.discharge_coefficient_ratio) &&
              not_negative(seat.laminar_coefficient_ratio) && std::isfinite(seat.flow_force_ratio),
          "seat diameter and discharge coefficient must be positive");
  require(seat.half_angle_rad > 0.0 && seat.half_angle_rad <= 0.5 * shared::kPi_ratio + 1e-12,
          "seat half angle must lie in (0, 90 degrees]");
  const Wear& wear = params.valve.wear;
  require(not_negative(wear.cycles_ratio) && not_negative(wear.volume_m3) &&
              not_negative(wear.life_cycles_ratio) && not_negative(wear.life_volume_m3) &&
              not_negative(wear.gap_at_life_m) && not_negative(liquid.abrasiveness_ratio),
          "cycles, volumes, gap and abrasiveness must not be negative");
  require(worn_gap_m(wear, liquid.abrasiveness_ratio) == 0.0 ||
              (positive(wear.land_m) && positive(liquid.viscosity_pas)),
          "a worn valve needs a land and a viscosity");
  require(positive(params.outlet.bore_m) && positive(params.outlet.discharge_coefficient_ratio) &&
              not_negative(params.outlet.laminar_coefficient_ratio),
          "outlet bore and discharge coefficient must be positive");
  require(not_negative(params.gas.volume_m3), "gas volume must not be negative");
  require(params.gas.volume_m3 == 0.0 || params.gas.place != GasPlace::kOutlet ||
              (solver.outlet_void && params.end.kind == EndKind::kOrifice),
          "gas at the outlet needs the outlet's void");
  const auto side_needs_station = [&](bool side, int stations) {
    return !side || solver.form == LineForm::kDense || stations > 0;
  };
  require(side_needs_station(!params.hose.creep.empty(), solver.hose_stations) &&
              side_needs_station(
                  !params.tube.creep.empty() ||
                      (params.gas.volume_m3 > 0.0 && params.gas.place == GasPlace::kMiddle),
                  solver.tube_stations),
          "creep and gas in the tube need a station");
  require(solver.step_ns > 0 && solver.hose_stations >= 0 && solver.tube_stations >= 0 &&
              solver.kernel_terms >= 0,
          "step, stations and kernel terms must not be negative");
}

}  // namespace

LinePlan<double> plan_line(const Line& line, const Liquid& liquid, const SolverParams& solver,
                           const LinePlace& place, double step_s, double vapour_pa) {
  const int cells = place.cells.whole;
  const double radius_m = 0.5 * line.bore_m;
  const double dtau_ratio =
      liquid.viscosity_pas / liquid.density_kgpm3 * step_s / (radius_m * radius_m);
  const bool dense = solver.form == LineForm::kDense;
  LineSetup setup{.cells = cells,
                  .part_cell_ratio = place.cells.part_ratio,
                  .stations = dense ? cells - 1 : std::min(place.stations, cells - 1),
                  .step_s = step_s,
                  .layout_cells = dense ? 0 : place.layout.whole,
                  .friction = solver.friction,
                  .kernel = {},
                  .cavities = solver.cavities,
                  .vapour_pressure_pa = vapour_pa,
                  .turbulence = solver.turbulence,
                  .inlet_height_m = place.inlet_height_m,
                  .middle_gas_pam3 = place.middle_gas_pam3};
  std::vector<KernelTerm> fitted;
  if (liquid.viscosity_pas == 0.0 || solver.friction == WallFriction::kNone) {
    setup.friction = WallFriction::kNone;
  } else if (solver.friction == WallFriction::kQuasiSteady ||
             (!dense && solver.kernel_terms == 0) || dtau_ratio > 0.5 * kKernelFitEnd_ratio) {
    setup.friction = WallFriction::kQuasiSteady;
  } else if (dense || solver.kernel_terms > kMostFittedTerms) {
    setup.kernel = published_kernel();
  } else {
    fitted = fit_kernel(solver.kernel_terms, dtau_ratio);
    setup.kernel = fitted;
  }
  // Where nothing acts between the ends, stations would only add rounding.
  if (setup.friction == WallFriction::kNone && !setup.cavities && line.creep.empty() &&
      place.middle_gas_pam3 == 0.0)
    setup.stations = 0;
  return make_line_plan(line, liquid, setup);
}

namespace {

LineCells layout_of(const Line& line, double step_s) {
  if (line.layout_length_m == 0.0) return {};
  return cells_of(line.layout_length_m, line.wave_speed_mps, step_s);
}

std::unique_ptr<RowPlan> make_row_plan(const RowUnitParams& params, const SolverParams& solver) {
  require_physical(params, solver);
  auto plan = std::make_unique<RowPlan>();
  plan->fit = fit_row(params.hose, params.tube, solver.step_ns);
  const double step_s = static_cast<double>(plan->fit.step_ns) * 1e-9;
  const double vapour_pa = params.liquid.vapour_pressure_abs_pa - params.atmosphere_pa;
  // C of the gas pocket, and the part of it that stands at a given place.
  const double whole_gas_pam3 =
      (params.atmosphere_pa - params.liquid.vapour_pressure_abs_pa) * params.gas.volume_m3;
  const auto gas_at = [&](GasPlace place) {
    return params.gas.place == place ? whole_gas_pam3 : 0.0;
  };
  plan->hose = plan_line(params.hose, params.liquid, solver,
                         {.cells = plan->fit.hose,
                          .layout = {},
                          .stations = solver.hose_stations,
                          .inlet_height_m = -params.hose.rise_m},
                         step_s, vapour_pa);
  plan->tube = plan_line(params.tube, params.liquid, solver,
                         {.cells = plan->fit.tube,
                          .layout = layout_of(params.tube, step_s),
                          .stations = solver.tube_stations,
                          .middle_gas_pam3 = gas_at(GasPlace::kMiddle)},
                         step_s, vapour_pa);
  plan->outlet = make_end_plan(params);
  plan->outlet_step = {.impedance_paspm3 = plan->tube.impedance_paspm3,
                       .step_over_impedance_m3ppa = plan->tube.step_over_impedance_m3ppa,
                       .step_s = step_s,
                       .per_step_ps = 1.0 / step_s};
  plan->step_s = step_s;
  plan->outlet_void = solver.outlet_void && params.end.kind == EndKind::kOrifice;
  plan->valve_params = params.valve;
  Coil& coil = plan->valve_params.coil;
  coil.resistance_ohm = copper_ohm(coil.resistance_ohm, coil.temperature_k);
  plan->reference_valve = solver.form == LineForm::kDense || solver.reference_valve;
  plan->outlet_pocket = make_outlet_pocket(gas_at(GasPlace::kOutlet), vapour_pa);
  const double gas_pam3 = gas_at(GasPlace::kValveExit);
  const bool gas = gas_pam3 > 0.0;
  const double cavity_pa = solver.cavities ? vapour_pa : kNoVapour_pa;
  plan->valve = {.coil = make_coil_plan(coil, step_s),
                 .actuator = make_actuator_plan(coil, step_s),
                 .plunger = make_plunger_plan(params.valve.plunger, step_s),
                 .seat = make_seat_plan(params.valve.seat, params.liquid),
                 .node = {.hose_paspm3 = plan->hose.impedance_paspm3,
                          .tube_paspm3 = plan->tube.impedance_paspm3,
                          .sum_paspm3 = plan->hose.impedance_paspm3 + plan->tube.impedance_paspm3,
                          .step_over_hose_m3ppa = plan->hose.step_over_impedance_m3ppa,
                          .step_over_tube_m3ppa = plan->tube.step_over_impedance_m3ppa,
                          .step_s = step_s,
                          .per_step_ps = 1.0 / step_s,
                          .hose_vapour_pa = cavity_pa,
                          .tube_vapour_pa = gas ? vapour_pa : cavity_pa,
                          .gas_pam3 = gas_pam3,
                          .gas = gas}};
  plan->valve.seat.leak_m3pspa = leak_m3pspa(params.valve, params.liquid);
  // Gas at the valve is at rest under the tube's head; the balance counts from this volume.
  plan->still_pocket_m3 = gas ? gas_pam3 / (plan->tube.outlet_head_pa - vapour_pa) : 0.0;
  plan->lowest_pa = cavity_pa - kVapourTolerance_pa;
  return plan;
}

}  // namespace

RowUnit::RowUnit(const RowUnitParams& params, const SolverParams& solver, double supply_pressure_pa)
    : liquid_(params.liquid),
      plan_(make_row_plan(params, solver)),
      state_(std::make_unique<RowState>()) {
  require(std::isfinite(supply_pressure_pa), "supply pressure must be a number");
  come_to_rest(supply_pressure_pa);
}

const RowState& RowUnit::state() const {
  if (lanes_ != nullptr) restore(lanes_->store(lane_), *state_);
  return *state_;
}

void RowUnit::plan_changed() {
  if (lanes_ != nullptr) lanes_->load_plan(lane_, flat(*plan_));
}

void RowUnit::come_to_rest(double supply_pressure_pa) {
  EXPECTS(lanes_ == nullptr);
  *state_ = RowState{};
  state_->hose = still_line(plan_->hose, supply_pressure_pa + plan_->hose.inlet_head_pa);
  state_->tube = still_line(plan_->tube, plan_->outlet.behind_pa + plan_->tube.outlet_head_pa);
  state_->outlet_pocket_m3 = plan_->outlet_pocket.still_m3;
  state_->valve.pockets.tube_m3 = plan_->still_pocket_m3;
  if (plan_->valve.actuator.by_linkage && !plan_->valve.actuator.by_table)
    state_->valve.linkage_vs = linkage_of_current_vs(plan_->valve.actuator.iron, 0.0, 0.0);
}

RowUnit::~RowUnit() { EXPECTS(lanes_ == nullptr); }
RowUnit::RowUnit(RowUnit&&) noexcept = default;
RowUnit& RowUnit::operator=(RowUnit&&) noexcept = default;

void RowUnit::set_outlet(const Outlet& outlet) {
  plan_->outlet = make_outlet_plan(outlet, liquid_);
  plan_changed();
}

void RowUnit::set_seat_open(double open_ratio) {
  EXPECTS(open_ratio >= 0.0 && open_ratio <= 1.0);
  plan_->valve_params.seat.open_ratio = open_ratio;
  plan_->valve.seat = make_seat_plan(plan_->valve_params.seat, liquid_);
  set_leak();
}

void RowUnit::set_leak() {
  plan_->valve.seat.leak_m3pspa =
      plan_->valve_params.seat.open_ratio * leak_m3pspa(plan_->valve_params, liquid_) +
      plan_->extra_leak_m3pspa;
  plan_changed();
}

void RowUnit::set_extra_leak(double leak_m3pspa) {
  EXPECTS(leak_m3pspa >= 0.0);
  plan_->extra_leak_m3pspa = leak_m3pspa;
  set_leak();
}

void RowUnit::set_plunger(const Plunger& plunger) {
  plan_->valve_params.plunger = plunger;
  plan_->valve.plunger = make_plunger_plan(plunger, plan_->step_s);
  plan_changed();
}

void RowUnit::set_coil_resistance(double resistance_ohm) {
  EXPECTS(resistance_ohm > 0.0);
  plan_->valve_params.coil.resistance_ohm = resistance_ohm;
  plan_->valve.coil = make_coil_plan(plan_->valve_params.coil, plan_->step_s);
  plan_->valve.actuator = make_actuator_plan(plan_->valve_params.coil, plan_->step_s);
  plan_changed();
}

double RowUnit::wave_at_supply_pa() const {
  if (lanes_ != nullptr) return lanes_->wave_at_supply_pa(lane_);
  return arrivals_at(plan_->hose, state_->hose).at_inlet_pa - plan_->hose.inlet_head_pa;
}

double RowUnit::supply_impedance_paspm3() const { return plan_->hose.impedance_paspm3; }

const RowFit& RowUnit::fit() const { return plan_->fit; }

RowStepOutput RowUnit::step(const RowStepInput& input) {
  EXPECTS(lanes_ == nullptr);
  const DenormalGuard flush;
  const RowPlan& plan = *plan_;
  RowState& state = *state_;
  const RowFlows<double> flows =
      plan.reference_valve
          ? step_row(plan, state, input.supply_pressure_pa,
                     [&](double f_pa, double g_pa) {
                       return step_valve_reference(plan.valve, plan.valve_params, state.valve, f_pa,
                                                   g_pa, input);
                     })
          : step_row(plan, state, input.supply_pressure_pa, [&](double f_pa, double g_pa) {
              return step_valve(plan.valve, state.valve, f_pa, g_pa, input);
            });
  RowStepOutput out = output_of(plan, state, flows);
  out.fault = fault_of(std::abs(sum_of_all(flows, state)) < kHighestSum_ratio,
                       negative_volume(flows, state), below_vapour(plan, flows));
  return out;
}

double RowUnit::line_vapour_m3() const {
  const RowState& now = state();
  return line_cavity_volume_m3(now.hose) + line_cavity_volume_m3(now.tube);
}

double RowUnit::stored_volume_m3() const {
  const RowState& now = state();
  const Pockets<double>& pockets = now.valve.pockets;
  return line_stored_volume_m3(plan_->hose, now.hose) +
         line_stored_volume_m3(plan_->tube, now.tube) - pockets.hose_m3 -
         (pockets.tube_m3 - plan_->still_pocket_m3) -
         (now.outlet_pocket_m3 - plan_->outlet_pocket.still_m3) - now.void_m3;
}

}  // namespace model
