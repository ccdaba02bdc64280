#include "model/row/bare_tube.h"

#include <cmath>
#include <stdexcept>
#include <string>

#include "model/denormals.h"
#include "model/fluid/column.h"
#include "model/fluid/ideal_end.h"
#include "model/fluid/line_step.h"
#include "model/fluid/turbulence.h"
#include "model/row/row_lines.h"

namespace model {
namespace {

constexpr double kNoVapour_pa = -1e300;
constexpr double kVapourTolerance_pa = 1e-3;
constexpr double kAbsurd_pa = 1e13;

struct Steady {
  double flow_m3ps = 0.0;
  double inlet_pa = 0.0;
  double outlet_pa = 0.0;
};

void require(bool holds, const std::string& what) {
  if (!holds) throw std::invalid_argument("bare tube: " + what);
}

double friction_drop_pa(const RowUnitParams& params, const SolverParams& solver, double flow_m3ps) {
  if (solver.friction == WallFriction::kNone) return 0.0;
  const double stir_pa =
      solver.turbulence ? turbulent_drop_pa(params.tube, params.liquid, flow_m3ps) : 0.0;
  return laminar_resistance_paspm3(params.tube, params.liquid) * flow_m3ps + stir_pa;
}

/// Pressure that drives the tube at a given flow, less what that flow needs; falls with the flow.
double excess_pa(const IdealInlet& inlet, double value, double needed_pa, double flow_m3ps) {
  if (inlet.kind == InletKind::kPressure) return value - needed_pa;
  const double passes_m3ps = value * inlet.full_flow_m3ps;
  const double share_ratio = flow_m3ps / passes_m3ps;
  return inlet.supply_pa - inlet.full_drop_pa * share_ratio * std::abs(share_ratio) - needed_pa;
}

Steady steady_of(const RowUnitParams& params, const IdealInlet& inlet, const SolverParams& solver,
                 const OutletPlan<double>& end, double value) {
  const bool closed = params.end.kind == EndKind::kClosed;
  // The inlet is the datum of the waves; a closed end needs no pressure.
  const double head_pa =
      closed ? 0.0
             : params.liquid.density_kgpm3 * shared::kStandardGravity_mps2 * params.tube.rise_m;
  const auto needed_pa = [&](double flow_m3ps) {
    return (closed ? 0.0 : end_pressure_pa(end, flow_m3ps)) + head_pa +
           friction_drop_pa(params, solver, flow_m3ps);
  };
  Steady steady;
  if (inlet.kind == InletKind::kFlow) {
    require(!closed || value == 0.0, "a flow into a closed tube has no steady state");
    steady.flow_m3ps = value;
    steady.inlet_pa = needed_pa(value);
  } else if (inlet.kind == InletKind::kOpening && !(value > 0.0)) {
    steady.inlet_pa = needed_pa(0.0);
  } else if (closed) {
    steady.inlet_pa = inlet.kind == InletKind::kPressure ? value : inlet.supply_pa;
  } else {
    const auto excess = [&](double flow_m3ps) {
      return excess_pa(inlet, value, needed_pa(flow_m3ps), flow_m3ps);
    };
    double most_m3ps = 1e-9;
    while (excess(most_m3ps) * excess(-most_m3ps) > 0.0 && most_m3ps < 1e3) most_m3ps *= 4.0;
    require(most_m3ps < 1e3, "no end limits the steady flow: give friction, an outlet or a flow");
    // Halving to the last bit: the excess only falls with the flow, and no library's logarithm
    // enters the bytes.
    double low_m3ps = -most_m3ps, high_m3ps = most_m3ps;
    for (;;) {
      const double middle_m3ps = 0.5 * (low_m3ps + high_m3ps);
      if (!(middle_m3ps > low_m3ps && middle_m3ps < high_m3ps)) break;
      (excess(middle_m3ps) > 0.0 ? low_m3ps : high_m3ps) = middle_m3ps;
    }
    steady.flow_m3ps = 0.5 * (low_m3ps + high_m3ps);
    steady.inlet_pa = needed_pa(steady.flow_m3ps);
  }
  const double rise_pa =
      params.liquid.density_kgpm3 * shared::kStandardGravity_mps2 * params.tube.rise_m;
  steady.outlet_pa = closed ? steady.inlet_pa - rise_pa : end_pressure_pa(end, steady.flow_m3ps);
  return steady;
}

BareTubeFit fit_tube(const Line& tube, const SolverParams& solver) {
  const double travel_s = tube.length_m / tube.wave_speed_mps;
  const double wanted = travel_s / (static_cast<double>(solver.step_ns) * 1e-9);
  require(wanted >= 1.5, "the step of " + std::to_string(solver.step_ns) +
                             " ns does not resolve the tube: waves need " +
                             std::to_string(travel_s * 1e9) + " ns, take a tenth of it");
  const int cells = static_cast<int>(std::lround(wanted));
  return {.step_s = travel_s / cells, .cells = cells};
}

}  // namespace

struct BareTube::Parts {
  RowUnitParams params;
  IdealInlet inlet;
  BareTubeFit fit;
  LinePlan<double> plan;
  LineState<double> state;
  InletStep inlet_step;
  OutletPlan<double> end;
  OutletStep<double> end_step;
  bool outlet_void = false;
  double lowest_pa = 0.0;
  Steady steady;
  double still_pocket_m3 = 0.0;
  double pocket_m3 = 0.0;
  double void_m3 = 0.0;
};

BareTube::BareTube(const RowUnitParams& params, const IdealInlet& inlet, const SolverParams& solver,
                   double first_value)
    : parts_(std::make_unique<Parts>()) {
  Parts& p = *parts_;
  const double vapour_pa = params.liquid.vapour_pressure_abs_pa - params.atmosphere_pa;
  p.params = params;
  p.inlet = inlet;
  p.fit = fit_tube(params.tube, solver);
  p.end = make_end_plan(params);
  p.steady = steady_of(params, inlet, solver, p.end, first_value);
  require(params.gas.volume_m3 == 0.0 || params.gas.place != GasPlace::kOutlet,
          "gas at the outlet needs a row, not a bare tube");
  const double whole_gas_pam3 = params.gas.volume_m3 * -vapour_pa;
  const bool in_middle = params.gas.place == GasPlace::kMiddle;
  p.plan = plan_line(params.tube, params.liquid, solver,
                     {.cells = {.whole = p.fit.cells},
                      .layout = {},
                      .stations = solver.tube_stations,
                      .middle_gas_pam3 = in_middle ? whole_gas_pam3 : 0.0},
                     p.fit.step_s, vapour_pa);
  p.state = steady_line(p.plan, p.steady.inlet_pa, p.steady.flow_m3ps);
  const double gas_pam3 = in_middle ? 0.0 : whole_gas_pam3;
  const bool gas = gas_pam3 > 0.0;
  p.inlet_step = {.impedance_paspm3 = p.plan.impedance_paspm3,
                  .step_s = p.fit.step_s,
                  .vapour_pa = gas || solver.cavities ? vapour_pa : kNoVapour_pa,
                  .gas_pam3 = gas_pam3};
  p.end_step = {.impedance_paspm3 = p.plan.impedance_paspm3,
                .step_over_impedance_m3ppa = p.plan.step_over_impedance_m3ppa,
                .step_s = p.fit.step_s,
                .per_step_ps = 1.0 / p.fit.step_s};
  p.outlet_void = solver.outlet_void && params.end.kind == EndKind::kOrifice;
  p.lowest_pa = (solver.cavities ? vapour_pa : kNoVapour_pa) - kVapourTolerance_pa;
  if (gas) {
    require(p.steady.inlet_pa > vapour_pa, "gas cannot stand below vapour pressure");
    p.pocket_m3 = gas_pam3 / (p.steady.inlet_pa - vapour_pa);
    p.still_pocket_m3 = p.pocket_m3;
  }
}

BareTube::~BareTube() = default;
BareTube::BareTube(BareTube&&) noexcept = default;
BareTube& BareTube::operator=(BareTube&&) noexcept = default;

RowStepOutput BareTube::step(double inlet_value) {
  const DenormalGuard flush;
  Parts& p = *parts_;
  const LineWaves<double> waves = arrivals_at(p.plan, p.state);
  const InletNode inlet =
      solve_inlet(p.inlet, p.inlet_step, waves.at_inlet_pa, inlet_value, p.pocket_m3);
  p.pocket_m3 = inlet.pocket_m3;
  const ColumnEnd<double> end = pass_column_end(
      p.end, p.end_step, waves.at_outlet_pa - p.plan.outlet_head_pa, p.void_m3, p.outlet_void);
  p.void_m3 = end.void_m3;
  const double z_paspm3 = p.plan.impedance_paspm3;
  const double drop_pa = z_paspm3 * end.flow_m3ps;
  const double outlet_pa = waves.at_outlet_pa - p.plan.outlet_head_pa - drop_pa;
  depart_from(
      p.plan, p.state,
      LineWaves<double>{.at_inlet_pa = waves.at_inlet_pa + 2.0 * z_paspm3 * inlet.line_flow_m3ps,
                        .at_outlet_pa = waves.at_outlet_pa - drop_pa - drop_pa});
  RowFault fault = RowFault::kNone;
  if (!(std::abs(inlet.pressure_pa) + std::abs(outlet_pa) < kAbsurd_pa))
    fault = RowFault::kNotANumber;
  else if (p.pocket_m3 < 0.0 || p.void_m3 < 0.0)
    fault = RowFault::kNegativeVolume;
  else if (inlet.pressure_pa < p.lowest_pa && p.inlet.kind != InletKind::kPressure)
    fault = RowFault::kBelowVapour;
  return {.inlet_volume_m3 = inlet.flow_m3ps * p.fit.step_s,
          .valve_volume_m3 = inlet.line_flow_m3ps * p.fit.step_s,
          .jet_volume_m3 = end.jet_m3,
          .jet_speed_mps = end.jet_flow_m3ps * p.end.inverse_jet_area_pm2,
          .valve_flow_m3ps = inlet.line_flow_m3ps,
          .outlet_flow_m3ps = end.jet_m3 * p.end_step.per_step_ps,
          .hose_end_pressure_pa = inlet.pressure_pa,
          .valve_exit_pressure_pa = inlet.pressure_pa,
          .outlet_pressure_pa = outlet_pa,
          .valve_cavity_m3 = p.pocket_m3,
          .outlet_void_m3 = p.void_m3,
          .fault = fault};
}

const BareTubeFit& BareTube::fit() const { return parts_->fit; }
double BareTube::steady_flow_m3ps() const { return parts_->steady.flow_m3ps; }
double BareTube::steady_inlet_pressure_pa() const { return parts_->steady.inlet_pa; }
double BareTube::steady_outlet_pressure_pa() const { return parts_->steady.outlet_pa; }

double BareTube::stored_volume_m3() const {
  const Parts& p = *parts_;
  return line_stored_volume_m3(p.plan, p.state) - (p.pocket_m3 - p.still_pocket_m3) - p.void_m3;
}

double BareTube::middle_pressure_pa() const {
  return line_middle_pressure_pa(parts_->plan, parts_->state);
}

int BareTube::first_bad_station() const {
  const std::vector<double>& flows_m3ps = parts_->state.flow_m3ps;
  for (std::size_t j = 0; j < flows_m3ps.size(); ++j)
    if (!(std::abs(flows_m3ps[j]) * parts_->plan.impedance_paspm3 < kAbsurd_pa))
      return static_cast<int>(j);
  return -1;
}

}  // namespace model
