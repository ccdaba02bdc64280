// The ordinary differential equations behind method_of_lines.h: state, rates and forces.
//
//   magnet with the reluctance law the state's first entry is the flux linkage psi instead of the
//          current: dpsi/dt = u - R i, i = i' + (dpsi/dt)/re, and i' follows from psi and lift by
//          Newton's method on y + Ll (c (g - x) y + ih y/(ys - y)) = psi; no remanence
//   state  current, lift, speed, jet and inlet volumes, then for hose and tube the pressures of the
//          nodes, the flows of the cells and the memories of the wall's friction
// Errors   EXPECTS no free gas
// Source   as method_of_lines.h
// Checked  tests/model/row/method_of_lines_test.cc
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <vector>

#include "shared/check.h"
#include "shared/units.h"
#include "tests/support/method_of_lines.h"

namespace support {

// The state is scaled to values near one, so that a single absolute tolerance fits all of it.
inline constexpr double kPressureUnit_pa = 1e5;
inline constexpr double kFlowUnit_m3ps = 1e-6;
inline constexpr double kLiftUnit_m = 1e-3;
inline constexpr double kVolumeUnit_m3 = 1e-9;
inline constexpr double kLinkageUnit_vs = 10e-3;

using State = std::vector<double>;

// {weight, rate}: J. Vitkovsky et al. 2004, laminar.
inline constexpr std::array<model::KernelTerm, 10> kPublishedMemory{{{1.02700, 26.5976},
                                                                     {1.31342, 78.6005},
                                                                     {2.14832, 202.234},
                                                                     {3.70620, 540.226},
                                                                     {6.37762, 1501.07},
                                                                     {10.9363, 4267.16},
                                                                     {18.7309, 12286.9},
                                                                     {32.0736, 35639.2},
                                                                     {55.1523, 103956.0},
                                                                     {99.4544, 309336.0}}};

// One line's constants in the state's units, and where its values lie in the state.
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

inline LineGrid grid_of(const model::Line& line, const model::Liquid& liquid, int cells,
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

// kStuck: held by friction between seat and stop. kFreewheel: 0 V through a diode.
enum class Contact { kSeat, kFree, kStop, kStuck };
enum class Bridge { kOff, kDrive, kDecay, kFreewheel };

class RowEquations {
 public:
  static constexpr std::size_t kCurrent = 0, kLift = 1, kSpeed = 2, kJet = 3, kInlet = 4,
                               kForceCurrent = 5, kFirstLine = 6;

  RowEquations(const model::RowUnitParams& row, double supply_pressure_pa, double supply_voltage_v,
               const LinesSetup& setup)
      : row_(row), supply_bar_(supply_pressure_pa / kPressureUnit_pa), supply_v_(supply_voltage_v) {
    EXPECTS(row.gas.volume_m3 == 0.0);
    const model::Coil& coil = row.valve.coil;
    magnet_ = coil.force_law == model::ForceLaw::kReluctance;
    if (magnet_) {
      const model::Reluctance& iron = coil.reluctance;
      EXPECTS(iron.remanence_a == 0.0 && iron.saturation_vs > 0.0);
      per_h_pm_ =
          (1.0 / (coil.inductance_h - iron.leakage_h) - iron.half_current_a / iron.saturation_vs) /
          iron.gap_m;
      eddy_siemens_ = iron.eddy_ohm > 0.0 ? 1.0 / iron.eddy_ohm : 0.0;
    }
    force_lag_s_ = setup.force_lag_s;
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

    rate[kCurrent] =
        magnet_ ? linkage_rate_v(y) / kLinkageUnit_vs : current_rate_aps(y[kCurrent], speed_mps);
    rate[kForceCurrent] = magnet_              ? 0.0
                          : force_lag_s_ > 0.0 ? (y[kCurrent] - y[kForceCurrent]) / force_lag_s_
                                               : rate[kCurrent];
    const bool moves = contact == Contact::kFree;
    rate[kLift] = moves ? speed_mps / kLiftUnit_m : 0.0;
    rate[kSpeed] = moves ? (net_force_n(y) - sense * row_.valve.plunger.coulomb_friction_n) /
                               row_.valve.plunger.mass_kg
                         : 0.0;
    rate[kJet] = jet_m3ps / kVolumeUnit_m3;
    rate[kInlet] = y[hose_.flow_at] * kFlowUnit_m3ps / kVolumeUnit_m3;

    line_rates(hose_, y, rate, through_m3ps / kFlowUnit_m3ps, true, vapour_bar_);
    line_rates(tube_, y, rate, jet_m3ps / kFlowUnit_m3ps, false, 0.0);
    rate[hose_.pressure_at] = 0.0;  // the supply keeps its pressure
    rate[tube_.pressure_at] += 2.0 * tube_.pressure_rate * through_m3ps / kFlowUnit_m3ps;
  }

  // Along x, opening positive, without contact forces and friction.
  double net_force_n(const State& y) const {
    const double lift_m = contact == Contact::kSeat ? 0.0 : y[kLift] * kLiftUnit_m;
    const double drop_pa = (held(y[hose_.pressure_at + static_cast<std::size_t>(hose_.cells)]) -
                            held(y[tube_.pressure_at])) *
                           kPressureUnit_pa;
    const model::Plunger& plunger = row_.valve.plunger;
    return pull_n(y) - plunger.preload_n - plunger.spring_rate_npm * lift_m -
           plunger.damping_nspm * y[kSpeed] - (seat_area_m2_ - flow_force_m_ * lift_m) * drop_pa;
  }

  double stored_volume_m3(const State& y) const {
    double stored_m3 = 0.0;
    for (const LineGrid* grid : {&hose_, &tube_}) {
      for (int node = 0; node <= grid->cells; ++node) {
        const double share = node == 0 || node == grid->cells ? 0.5 : 1.0;
        // A pressure below the limit at which the node is held is the missing volume itself, so
        // cavity and void need no account of their own.
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
    const double speed_mps = contact == Contact::kFree ? y[kSpeed] : 0.0;
    return {time_s,
            winding_a(y),
            y[kLift] * kLiftUnit_m,
            held(y[tube_.pressure_at]) * kPressureUnit_pa,
            outlet_flow_m3ps(outlet_pa),
            speed_mps,
            terminals_v(y, speed_mps),
            held(y[hose_.pressure_at + static_cast<std::size_t>(hose_.cells)]) * kPressureUnit_pa,
            y[kJet] * kVolumeUnit_m3};
  }

  /// Current of the winding, which diodes and bridge see.
  double winding_a(const State& y) const {
    if (!magnet_) return y[kCurrent];
    if (bridge == Bridge::kOff) return 0.0;
    return magnet_of(y).current_a + eddy_siemens_ * linkage_rate_v(y);
  }
  bool magnet() const { return magnet_; }
  const LineGrid& hose() const { return hose_; }
  const LineGrid& tube() const { return tube_; }

  Contact contact = Contact::kSeat;
  Bridge bridge = Bridge::kOff;
  double sense = 0.0;  // tidy: unit sign of the speed that friction acts against
  std::int64_t evaluations = 0;

 private:
  struct Magnet {
    double gap_vs = 0.0, current_a = 0.0;  // linkage of the gap; current without eddy currents
  };
  Magnet magnet_of(const State& y) const {
    const model::Reluctance& iron = row_.valve.coil.reluctance;
    const double psi_vs = std::max(0.0, y[kCurrent] * kLinkageUnit_vs);
    const double lift_m = contact == Contact::kSeat ? 0.0 : y[kLift] * kLiftUnit_m;
    const double per_h = per_h_pm_ * (iron.gap_m - lift_m);
    double low_vs = 0.0, high_vs = std::min(psi_vs, iron.saturation_vs * (1.0 - 1e-9));
    double gap_vs = 0.5 * high_vs;
    for (int turn = 0; turn < 60; ++turn) {
      const double left_vs = iron.saturation_vs - gap_vs;
      const double current_a = per_h * gap_vs + iron.half_current_a * gap_vs / left_vs;
      const double over_vs = gap_vs + iron.leakage_h * current_a - psi_vs;
      (over_vs > 0.0 ? high_vs : low_vs) = gap_vs;
      const double slope =
          1.0 +
          iron.leakage_h * (per_h + iron.half_current_a * iron.saturation_vs / left_vs / left_vs);
      const double next_vs = gap_vs - over_vs / slope;
      const double before_vs = gap_vs;
      gap_vs = next_vs > low_vs && next_vs < high_vs ? next_vs : 0.5 * (low_vs + high_vs);
      if (std::abs(gap_vs - before_vs) < 1e-15) break;
    }
    return {gap_vs, per_h * gap_vs + iron.half_current_a * gap_vs / (iron.saturation_vs - gap_vs)};
  }
  double bridge_v() const {
    return bridge == Bridge::kDrive ? supply_v_ : bridge == Bridge::kDecay ? -supply_v_ : 0.0;
  }
  // Without a current in the winding the eddy currents alone hold the field.
  double linkage_rate_v(const State& y) const {
    const double current_a = magnet_of(y).current_a;
    if (bridge == Bridge::kOff) return eddy_siemens_ > 0.0 ? -current_a / eddy_siemens_ : 0.0;
    const double resistance_ohm = row_.valve.coil.resistance_ohm;
    return (bridge_v() - resistance_ohm * current_a) / (1.0 + resistance_ohm * eddy_siemens_);
  }
  double pull_n(const State& y) const {
    if (!magnet_) return row_.valve.coil.force_constant_npa * y[kForceCurrent];
    const double gap_vs = magnet_of(y).gap_vs;
    return 0.5 * per_h_pm_ * gap_vs * gap_vs;
  }
  double terminals_v(const State& y, double speed_mps) const {
    if (!magnet_) return coil_voltage_v(y[kCurrent], speed_mps);
    return bridge == Bridge::kOff ? linkage_rate_v(y) : bridge_v();
  }
  // Freewheel conducts while current flows or the back-EMF would drive one; otherwise it blocks.
  double current_rate_aps(double current_a, double speed_mps) const {
    const model::Coil& coil = row_.valve.coil;
    const double bridge_v = bridge == Bridge::kDrive   ? supply_v_
                            : bridge == Bridge::kDecay ? -supply_v_
                                                       : 0.0;
    const double rate_aps =
        (bridge_v - coil.resistance_ohm * current_a - coil.force_constant_npa * speed_mps) /
        coil.inductance_h;
    if (bridge == Bridge::kOff) return 0.0;
    return bridge == Bridge::kFreewheel && current_a <= 0.0 ? std::max(rate_aps, 0.0) : rate_aps;
  }

  // R i + L di/dt + Kf v: the bridge's voltage while current flows, the back-EMF where it blocks.
  double coil_voltage_v(double current_a, double speed_mps) const {
    const model::Coil& coil = row_.valve.coil;
    return coil.resistance_ohm * current_a +
           coil.inductance_h * current_rate_aps(current_a, speed_mps) +
           coil.force_constant_npa * speed_mps;
  }

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
  double force_lag_s_ = 0.0;
  bool magnet_ = false;
  double per_h_pm_ = 0.0, eddy_siemens_ = 0.0;  // c of model/valve/reluctance.h; 1/re
  double supply_bar_ = 0.0, supply_v_ = 0.0, vapour_bar_ = 0.0, smoothing_pa2_ = 0.0;
  double seat_area_m2_ = 0.0, curtain_m_ = 0.0, flow_force_m_ = 0.0, seat_k_ = 0.0,
         seat_laminar_ = 0.0;
  double jet_area_m2_ = 0.0, outlet_k_ = 0.0, outlet_laminar_ = 0.0;
};

}  // namespace support
