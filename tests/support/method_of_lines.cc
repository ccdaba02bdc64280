#include "tests/support/method_of_lines.h"

// Odeint's dense output wants these helpers declared before it.
#include <boost/numeric/odeint/util/bind.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>

#include <algorithm>
#include <array>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <cmath>

#include "shared/check.h"
#include "shared/units.h"

namespace support {
namespace {

// The state is kept near one so that a single absolute tolerance fits all of it.
constexpr double kPressureUnit_pa = 1e5;
constexpr double kFlowUnit_m3ps = 1e-6;
constexpr double kLiftUnit_m = 1e-3;
constexpr double kVolumeUnit_m3 = 1e-9;

using State = std::vector<double>;

// {weight, rate}: J. Vitkovsky et al. 2004, laminar.
constexpr std::array<model::KernelTerm, 10> kPublishedMemory{{{1.02700, 26.5976},
                                                              {1.31342, 78.6005},
                                                              {2.14832, 202.234},
                                                              {3.70620, 540.226},
                                                              {6.37762, 1501.07},
                                                              {10.9363, 4267.16},
                                                              {18.7309, 12286.9},
                                                              {32.0736, 35639.2},
                                                              {55.1523, 103956.0},
                                                              {99.4544, 309336.0}}};

// One line's constants in the state's units, and where its numbers lie in the state.
struct LineGrid {
  int cells = 0;
  int terms = 0;
  std::size_t pressure_at = 0;  // cells + 1 nodes
  std::size_t flow_at = 0;
  std::size_t memory_at = 0;   // [term][cell]
  double pressure_rate = 0.0;  // d(bar)/dt for 1 ml/s into a whole cell
  double flow_rate = 0.0;      // d(ml/s)/dt for 1 bar across a cell
  double quasi_steady_rate_ps = 0.0;
  double memory_rate_ps = 0.0;  // d(ml/s)/dt for sum z = 1 ml/s
  double node_capacity_m3ppa = 0.0;
  std::vector<double> decay_ps;
  std::vector<double> weight;

  std::size_t size() const {
    return static_cast<std::size_t>(cells + 1) +
           static_cast<std::size_t>(cells) * static_cast<std::size_t>(1 + terms);
  }
};

LineGrid grid_of(const model::Line& line, const model::Liquid& liquid, int cells,
                 const LinesSetup& setup, std::size_t first) {
  LineGrid grid;
  const double radius_m = line.bore_m / 2.0;
  const double area_m2 = shared::kPi_ratio * radius_m * radius_m;
  const double cell_m = line.length_m / cells;
  const double spread_ps =
      liquid.viscosity_pas / (liquid.density_kgpm3 * radius_m * radius_m);  // nu / r^2
  const std::span<const model::KernelTerm> kernel =
      setup.kernel.empty() ? std::span<const model::KernelTerm>(kPublishedMemory) : setup.kernel;
  double inertia_ratio = 1.0;
  for (const model::KernelTerm& term : kernel) {
    if (term.rate_ratio * spread_ps > setup.fastest_memory_ps) {
      inertia_ratio += 4.0 * term.weight_ratio / term.rate_ratio;
    } else {
      grid.decay_ps.push_back(term.rate_ratio * spread_ps);
      grid.weight.push_back(term.weight_ratio);
      ++grid.terms;
    }
  }
  grid.cells = cells;
  grid.pressure_at = first;
  grid.flow_at = first + static_cast<std::size_t>(cells + 1);
  grid.memory_at = grid.flow_at + static_cast<std::size_t>(cells);
  grid.node_capacity_m3ppa =
      area_m2 * cell_m / (liquid.density_kgpm3 * line.wave_speed_mps * line.wave_speed_mps);
  grid.pressure_rate = kFlowUnit_m3ps / grid.node_capacity_m3ppa / kPressureUnit_pa;
  grid.flow_rate =
      area_m2 / (liquid.density_kgpm3 * cell_m) / inertia_ratio * kPressureUnit_pa / kFlowUnit_m3ps;
  grid.quasi_steady_rate_ps = 8.0 * spread_ps / inertia_ratio;
  grid.memory_rate_ps = 4.0 * spread_ps / inertia_ratio;
  return grid;
}

enum class Contact { kSeat, kFree, kStop };
enum class Bridge { kOff, kDrive, kDecay };

class RowEquations {
 public:
  static constexpr std::size_t kCurrent = 0, kLift = 1, kSpeed = 2, kJet = 3, kInlet = 4,
                               kFirstLine = 5;

  RowEquations(const model::RowUnitParams& row, double supply_pressure_pa, double supply_voltage_v,
               const LinesSetup& setup)
      : row_(row), supply_bar_(supply_pressure_pa / kPressureUnit_pa), supply_v_(supply_voltage_v) {
    EXPECTS(row.gas.volume_m3 == 0.0 && row.valve.plunger.coulomb_friction_n == 0.0);
    hose_ = grid_of(row.hose, row.liquid, setup.hose_cells, setup, kFirstLine);
    tube_ = grid_of(row.tube, row.liquid, setup.tube_cells, setup, kFirstLine + hose_.size());
    vapour_bar_ = (row.liquid.vapour_pressure_abs_pa - row.atmosphere_pa) / kPressureUnit_pa;
    smoothing_pa2_ = setup.root_smoothing_pa * setup.root_smoothing_pa;
    const model::Seat& seat = row.valve.seat;
    seat_area_m2_ = shared::kPi_ratio * seat.diameter_m * seat.diameter_m / 4.0;
    curtain_m_ = shared::kPi_ratio * seat.diameter_m * std::sin(seat.half_angle_rad);
    flow_force_m_ = seat.flow_force_ratio * 2.0 * seat.discharge_coefficient_ratio *
                    std::cos(seat.half_angle_rad) * curtain_m_;
    seat_k_ = row.liquid.density_kgpm3 /
              (2.0 * seat.discharge_coefficient_ratio * seat.discharge_coefficient_ratio);
    seat_laminar_ = seat.laminar_coefficient_ratio * row.liquid.viscosity_pas;
    const double bore_area_m2 = shared::kPi_ratio * row.outlet.bore_m * row.outlet.bore_m / 4.0;
    jet_area_m2_ = row.outlet.discharge_coefficient_ratio * bore_area_m2;
    outlet_k_ = row.liquid.density_kgpm3 / (2.0 * jet_area_m2_ * jet_area_m2_);
    outlet_laminar_ = row.outlet.laminar_coefficient_ratio * row.liquid.viscosity_pas /
                      (bore_area_m2 * row.outlet.bore_m);
  }

  State still() const {
    State y(kFirstLine + hose_.size() + tube_.size(), 0.0);
    for (int node = 0; node <= hose_.cells; ++node)
      y[hose_.pressure_at + static_cast<std::size_t>(node)] = supply_bar_;
    return y;
  }

  void operator()(const State& y, State& rate, double) {
    ++evaluations;
    const double upstream_bar = held(y[hose_.pressure_at + static_cast<std::size_t>(hose_.cells)]);
    const double downstream_bar = held(y[tube_.pressure_at]);
    const double drop_pa = (upstream_bar - downstream_bar) * kPressureUnit_pa;
    const double lift_m = contact == Contact::kSeat ? 0.0 : y[kLift] * kLiftUnit_m;
    const double speed_mps = contact == Contact::kFree ? y[kSpeed] : 0.0;
    const double through_m3ps = seat_flow_m3ps(lift_m, drop_pa) - seat_area_m2_ * speed_mps;
    const double outlet_bar =
        std::max(0.0, y[tube_.pressure_at + static_cast<std::size_t>(tube_.cells)]);
    const double jet_m3ps = outlet_flow_m3ps(outlet_bar * kPressureUnit_pa);

    const double voltage_v = bridge == Bridge::kDrive   ? supply_v_
                             : bridge == Bridge::kDecay ? -supply_v_
                                                        : 0.0;
    const model::Coil& coil = row_.valve.coil;
    rate[kCurrent] = bridge == Bridge::kOff ? 0.0
                                            : (voltage_v - coil.resistance_ohm * y[kCurrent] -
                                               coil.force_constant_npa * speed_mps) /
                                                  coil.inductance_h;
    const bool moves = contact == Contact::kFree;
    rate[kLift] = moves ? speed_mps / kLiftUnit_m : 0.0;
    rate[kSpeed] = moves ? net_force_n(y) / row_.valve.plunger.mass_kg : 0.0;
    rate[kJet] = jet_m3ps / kVolumeUnit_m3;
    rate[kInlet] = y[hose_.flow_at] * kFlowUnit_m3ps / kVolumeUnit_m3;

    line_rates(hose_, y, rate, through_m3ps / kFlowUnit_m3ps, true, vapour_bar_);
    line_rates(tube_, y, rate, jet_m3ps / kFlowUnit_m3ps, false, 0.0);
    rate[hose_.pressure_at] = 0.0;  // the supply holds it
    rate[tube_.pressure_at] += 2.0 * tube_.pressure_rate * through_m3ps / kFlowUnit_m3ps;
  }

  // Along x, opening positive, contact forces left out.
  double net_force_n(const State& y) const {
    const double lift_m = contact == Contact::kSeat ? 0.0 : y[kLift] * kLiftUnit_m;
    const double drop_pa = (held(y[hose_.pressure_at + static_cast<std::size_t>(hose_.cells)]) -
                            held(y[tube_.pressure_at])) *
                           kPressureUnit_pa;
    const model::Plunger& plunger = row_.valve.plunger;
    return row_.valve.coil.force_constant_npa * y[kCurrent] - plunger.preload_n -
           plunger.spring_rate_npm * lift_m - plunger.damping_nspm * y[kSpeed] -
           (seat_area_m2_ - flow_force_m_ * lift_m) * drop_pa;
  }

  double stored_volume_m3(const State& y) const {
    double stored_m3 = 0.0;
    for (const LineGrid* grid : {&hose_, &tube_}) {
      for (int node = 0; node <= grid->cells; ++node) {
        const double share = node == 0 || node == grid->cells ? 0.5 : 1.0;
        // A pressure below the held one is the missing volume itself: cavity and void need no
        // account of their own.
        stored_m3 += share * grid->node_capacity_m3ppa * kPressureUnit_pa *
                     y[grid->pressure_at + static_cast<std::size_t>(node)];
      }
    }
    return stored_m3;
  }

  double jet_speed_mps(double flow_m3ps) const { return flow_m3ps / jet_area_m2_; }
  LinesTrace trace_of(double time_s, const State& y) const {
    const double outlet_pa =
        std::max(0.0, y[tube_.pressure_at + static_cast<std::size_t>(tube_.cells)]) *
        kPressureUnit_pa;
    return {time_s, y[kCurrent], y[kLift] * kLiftUnit_m,
            held(y[tube_.pressure_at]) * kPressureUnit_pa, outlet_flow_m3ps(outlet_pa)};
  }

  Contact contact = Contact::kSeat;
  Bridge bridge = Bridge::kOff;
  std::int64_t evaluations = 0;

 private:
  double held(double pressure_bar) const { return std::max(pressure_bar, vapour_bar_); }

  // k Q^2 / (a x)^2 + (c mu / 2) Q / (a x^2) = dp, solved for Q in a form that is 0 at x = 0.
  double seat_flow_m3ps(double lift_m, double drop_pa) const {
    if (!(lift_m > 0.0)) return 0.0;
    const double half = 0.5 * seat_laminar_;
    const double size_pa = std::sqrt(drop_pa * drop_pa + smoothing_pa2_);
    return 2.0 * curtain_m_ * lift_m * lift_m * drop_pa /
           (half + std::sqrt(half * half + 4.0 * seat_k_ * lift_m * lift_m * size_pa));
  }

  double outlet_flow_m3ps(double pressure_pa) const {
    const double size_pa = std::sqrt(pressure_pa * pressure_pa + smoothing_pa2_);
    return 2.0 * pressure_pa /
           (outlet_laminar_ +
            std::sqrt(outlet_laminar_ * outlet_laminar_ + 4.0 * outlet_k_ * size_pa));
  }

  // The flow that leaves the last node is given; what enters the first node is added by the caller.
  void line_rates(const LineGrid& grid, const State& y, State& rate, double leaving,
                  bool fixed_inlet, double end_floor_bar) const {
    const auto cells = static_cast<std::size_t>(grid.cells);
    const double* pressure = &y[grid.pressure_at];
    const double* flow = &y[grid.flow_at];
    double* pressure_rate = &rate[grid.pressure_at];
    double* flow_rate = &rate[grid.flow_at];
    // The sum of the memories first, term by term, so that the compiler takes several cells at
    // once.
    for (std::size_t cell = 0; cell < cells; ++cell) flow_rate[cell] = 0.0;
    for (int term = 0; term < grid.terms; ++term) {
      const double* memory = &y[grid.memory_at + static_cast<std::size_t>(term) * cells];
      for (std::size_t cell = 0; cell < cells; ++cell) flow_rate[cell] += memory[cell];
    }
    const auto finish = [&](std::size_t cell, double left, double right) {
      flow_rate[cell] = grid.flow_rate * (left - right) - grid.quasi_steady_rate_ps * flow[cell] -
                        grid.memory_rate_ps * flow_rate[cell];
    };
    finish(0, fixed_inlet ? supply_bar_ : held(pressure[0]), held(pressure[1]));
    for (std::size_t cell = 1; cell + 1 < cells; ++cell)
      finish(cell, held(pressure[cell]), held(pressure[cell + 1]));
    finish(cells - 1, held(pressure[cells - 1]), std::max(pressure[cells], end_floor_bar));
    for (std::size_t term = 0; term < grid.decay_ps.size(); ++term) {
      const double decay_ps = grid.decay_ps[term];
      const double weight = grid.weight[term];
      const double* memory = &y[grid.memory_at + term * cells];
      double* memory_rate = &rate[grid.memory_at + term * cells];
      for (std::size_t cell = 0; cell < cells; ++cell)
        memory_rate[cell] = weight * flow_rate[cell] - decay_ps * memory[cell];
    }
    for (std::size_t node = 1; node < cells; ++node)
      pressure_rate[node] = grid.pressure_rate * (flow[node - 1] - flow[node]);
    pressure_rate[0] = -2.0 * grid.pressure_rate * flow[0];
    pressure_rate[cells] = 2.0 * grid.pressure_rate * (flow[cells - 1] - leaving);
  }

  model::RowUnitParams row_;
  LineGrid hose_;
  LineGrid tube_;
  double supply_bar_ = 0.0, supply_v_ = 0.0, vapour_bar_ = 0.0, smoothing_pa2_ = 0.0;
  double seat_area_m2_ = 0.0, curtain_m_ = 0.0, flow_force_m_ = 0.0, seat_k_ = 0.0,
         seat_laminar_ = 0.0;
  double jet_area_m2_ = 0.0, outlet_k_ = 0.0, outlet_laminar_ = 0.0;
};

// Positive while the present equations hold; a change of sign is an event.
double margin(const RowEquations& row, const State& y, double travel_m) {
  const double travel = travel_m / kLiftUnit_m;
  double least = 1.0;
  if (row.bridge == Bridge::kDecay) least = std::min(least, y[RowEquations::kCurrent]);
  if (row.contact == Contact::kSeat) least = std::min(least, -row.net_force_n(y));
  if (row.contact == Contact::kStop) least = std::min(least, row.net_force_n(y));
  if (row.contact == Contact::kFree)
    least = std::min({least, y[RowEquations::kLift], travel - y[RowEquations::kLift]});
  return least;
}

// What the located event does. Order at one instant: coil, then contact.
void apply_event(RowEquations& row, State& y, const model::Plunger& plunger,
                 double rest_speed_mps) {
  const double travel = plunger.travel_m / kLiftUnit_m;
  if (row.bridge == Bridge::kDecay && y[RowEquations::kCurrent] <= 0.0) {
    y[RowEquations::kCurrent] = 0.0;
    row.bridge = Bridge::kOff;
  }
  if (row.contact != Contact::kFree) {
    const double force_n = row.net_force_n(y);
    if (row.contact == Contact::kSeat ? force_n >= 0.0 : force_n <= 0.0)
      row.contact = Contact::kFree;
    return;
  }
  const bool at_seat = y[RowEquations::kLift] <= 0.0;
  if (!at_seat && y[RowEquations::kLift] < travel) return;
  y[RowEquations::kLift] = at_seat ? 0.0 : travel;
  double& speed = y[RowEquations::kSpeed];
  if (at_seat ? speed < 0.0 : speed > 0.0) speed *= -plunger.restitution_ratio;
  if (std::abs(speed) < rest_speed_mps) {
    speed = 0.0;
    row.contact = at_seat ? Contact::kSeat : Contact::kStop;
  }
}

}  // namespace

LinesRun run_method_of_lines(const model::RowUnitParams& params, double supply_pressure_pa,
                             double supply_voltage_v, std::span<const OnOff> pulses, double end_s,
                             const LinesSetup& setup, bool with_trace) {
  RowEquations row(params, supply_pressure_pa, supply_voltage_v, setup);
  const auto system = [&row](const State& y, State& rate, double time_s) { row(y, rate, time_s); };
  auto stepper = boost::numeric::odeint::make_dense_output(
      setup.tolerance_ratio, setup.tolerance_ratio,
      boost::numeric::odeint::runge_kutta_dopri5<State>());
  struct Switch {
    double at_s;
    Bridge to;
  };
  std::vector<Switch> switches;
  for (const OnOff& pulse : pulses) {
    switches.push_back({pulse.on_s, Bridge::kDrive});
    switches.push_back({pulse.off_s, Bridge::kDecay});
  }
  switches.push_back({end_s, Bridge::kOff});

  LinesRun run;
  State y = row.still();
  State probe = y;
  run.stored_before_m3 = row.stored_volume_m3(y);
  double now_s = 0.0;
  double step_s = 1e-6;
  for (const Switch& next : switches) {
    bool fresh = true;
    while (now_s < next.at_s) {
      if (fresh) stepper.initialize(y, now_s, step_s);
      fresh = false;
      const double from_jet = y[RowEquations::kJet];
      const double from_s = now_s;
      double to_s = stepper.do_step(system).second;
      step_s = stepper.current_time_step();
      ++run.steps;
      if (to_s > next.at_s) {
        to_s = next.at_s;
        stepper.calc_state(to_s, y);
        fresh = true;
      } else {
        y = stepper.current_state();
      }
      if (margin(row, y, params.valve.plunger.travel_m) <= 0.0) {
        double before_s = from_s;
        for (int halving = 0; halving < 60 && to_s - before_s > 1e-12; ++halving) {
          const double middle_s = 0.5 * (before_s + to_s);
          stepper.calc_state(middle_s, probe);
          (margin(row, probe, params.valve.plunger.travel_m) <= 0.0 ? to_s : before_s) = middle_s;
        }
        stepper.calc_state(to_s, y);
        apply_event(row, y, params.valve.plunger, setup.rest_speed_mps);
        fresh = true;
        step_s = std::min(step_s, 1e-6);
      }
      now_s = to_s;
      const double volume_m3 = (y[RowEquations::kJet] - from_jet) * kVolumeUnit_m3;
      if (volume_m3 > 0.0)
        run.outlet.push_back(
            {0.5 * (from_s + now_s), volume_m3, row.jet_speed_mps(volume_m3 / (now_s - from_s))});
      if (with_trace) run.trace.push_back(row.trace_of(now_s, y));
    }
    row.bridge = next.to;
    step_s = std::min(step_s, 1e-6);
  }
  run.inlet_volume_m3 = y[RowEquations::kInlet] * kVolumeUnit_m3;
  run.jet_volume_m3 = y[RowEquations::kJet] * kVolumeUnit_m3;
  run.stored_volume_m3 = row.stored_volume_m3(y);
  run.evaluations = row.evaluations;
  return run;
}

model::BandShape band_of(std::span<const OutletSample> outlet, const model::RowUnitParams& row,
                         double from_s, double to_s, double ground_speed_mps,
                         const model::JetAim& aim) {
  const double dribble_mps = model::dribble_speed_mps(row.liquid, row.outlet);
  std::vector<model::Parcel> parcels;
  for (const OutletSample& sample : outlet) {
    if (sample.time_s < from_s || sample.time_s >= to_s || !(sample.volume_m3 > 0.0)) continue;
    parcels.push_back(
        {.x_ground_m = ground_speed_mps * sample.time_s +
                       model::jet_reach_m(sample.jet_speed_mps, ground_speed_mps, aim),
         .volume_m3 = sample.volume_m3,
         .dribble = sample.jet_speed_mps < dribble_mps,
         .secondary = false});
  }
  return model::band_shape(parcels);
}

}  // namespace support
