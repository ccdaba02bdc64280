// One hose or tube alone: waves that run with exact delays, and wall friction lumped at stations.
//
//   F = p + Z q runs downstream, G = p - Z q upstream, Z = rho a / A; both run one cell per step
//   station   q = (F - G - sum z + c_s q0) / (2 Z + R + c_s)
//             F' = G + 2 Z (q + d),   G' = F - 2 Z (q - d)
//   memory    z <- e^{-n dtau} (z + C m (1 - e^{-n dtau})/(n dtau) dq),   C = 4 mu l / (A r^2):
//             exact where q is straight within a step
//   c_s = C (integral of the exact W over the step) / dtau: no inertia is lost within a step
//   vapour    d = (V - V_old)/(2 dt),   V = max(0, V_old + dt (2 p_vap - F - G)/Z)
//   A line has whole cells and a part c of one, which delays what passes the outlet's segment:
//   w_n = x_n + c (x_(n-1) - x_n), both ways: exact in travel time and volume; a wave of frequency
//   f keeps 1 - 2 c (1 - c) sin^2(pi f dt) of its height on each way (model/README.md: in mm).
//   Between stations vapour stands at every cell, in the waves in flight (line_cavities.h).
//   rise      waves carry the piezometric pressure p + rho g z, z above the datum; z enters only
//             at the ends and in the vapour pressure of each place: the gauge pressure at an end is
//             that of the waves less inlet_head_pa (outlet_head_pa)
//   turbulence (turbulence.h), creep and a gas pocket (line_sides.h) are separate passes
//
// Use      each step: arrivals() gives the waves that reach both ends; the caller's boundaries
//          answer with the waves that leave; depart() takes them and moves the line by one step.
//          Flows and pressures are means of the step: a volume is flow times step, and
//          line_stored_volume_m3 changes by (inlet - outlet flow) * step exactly.
// Shapes   `stations` stations, `stations` + 1 segments; a row of waves holds one per segment
// Errors   make_line_plan EXPECTS positive sizes, cells >= 1, stations < cells, positive weights
// Valid    wall elastic or linearly viscoelastic; the friction of a station's length acts at one
//          place
// Source   E. B. Wylie, V. L. Streeter, Fluid Transients in Systems, 1993 (waves, cavity);
//          W. Zielke, J. Basic Eng. 90, 1968 (memory); T. I. Laakso et al., IEEE Signal Process.
//          Mag. 13, 30-60, 1996 (a delay of a part of a step by first-order interpolation)
// Checked  tests/model/fluid/line_test.cc, tests/published/
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "model/fluid/line_wide.h"
#include "model/fluid/wall_friction.h"
#include "model/number.h"
#include "model/row_params.h"

namespace model {

struct LineSetup {
  int cells = 0;
  double part_cell_ratio = 0.0;  // what the line has beyond its whole cells, 0 to below 1
  int stations = 0;              // cells - 1: friction in every cell; 0: none
  double step_s = 0.0;  // the wave speed used is length / ((cells + part of a cell) * step)
  // Stations stand as in a line of these many cells, where that leaves room for this line's outlet.
  int layout_cells = 0;  // 0: as in a line of its own cells
  WallFriction friction = WallFriction::kUnsteady;
  std::span<const KernelTerm> kernel = {};  // for kUnsteady; read only while the plan is made
  bool cavities = false;                    // vapour, at every cell
  double vapour_pressure_pa = 0.0;          // gauge
  bool turbulence = false;
  double inlet_height_m = 0.0;   // above the datum of the waves
  double middle_gas_pam3 = 0.0;  // p V of a gas pocket at the station nearest the middle
};

/// One Kelvin-Voigt element over a step: V' = keep V + before p + now p', p straight between.
template <class Real>
struct CreepStep {
  Real keep_less_one_ratio{};  // e^{-dt/tau} - 1
  Real before_m3ppa{};         // per cell
  Real now_m3ppa{};            // per cell
  Real rest_m3ppa{};           // A l psi J, per cell: at rest V = rest p
};

/// Constants of a run. Real is double, or lanes of rows whose stations stand alike; only the way
/// from the last station to the outlet may differ from row to row.
template <class Real>
struct LinePlan {
  int cells = 0;  // of one row; lanes do not use it
  int stations = 0;
  int terms = 0;
  int inlet_delay = 0;   // cells from the inlet to the first station (or to the outlet)
  int middle_delay = 0;  // between neighbouring stations
  int outlet_delay = 0;  // of lanes: the longest
  // Rows by which an end's wave is written ahead, so that all stations read one row.
  int inlet_offset = 0;
  typename WholesOf<Real>::Type outlet_offset{};
  Real outlet_cells{};  // outlet_delay, by row
  Real part_cell_ratio{};
  std::size_t longest_delay = 0;  // no wave is under way between two stations for more steps
  std::size_t row_mask = 0;       // rows of the ring less 1
  std::size_t stride = 0;         // values per row
  Real step_s{};
  Real wave_speed_mps{};
  Real impedance_paspm3{};           // Z
  Real step_over_impedance_m3ppa{};  // dt / Z
  Real half_per_step_ps{};           // 1 / (2 dt)
  Real vapour_pa{};                  // gauge; -1e300 where cavities are off
  Real inlet_head_pa{};              // rho g z
  Real outlet_head_pa{};
  Real cell_head_pa{};
  Real boils_below_pa{};  // twice the vapour pressure at the line's highest place, piezometric
  // Length that a station stands for: half the way to each neighbour, the whole way to an end.
  std::vector<double> length_cells;
  std::vector<Real> inverse_m3pspa;  // 1 / (2 Z + R + c_s), by station
  std::vector<Real> memory_paspm3;   // c_s, by station
  std::vector<Real> weight_ratio;    // length_cells as Real
  std::vector<Real> boil_pa;         // twice the vapour pressure, piezometric, by station
  std::vector<Real> first_boil_pa;   // the same at the start of each segment
  bool watches = false;              // vapour between stations is possible
  const LineKernels* kernels = nullptr;
  // Twice the share of a station's friction that lies between it and a node behind (ahead of) it:
  // [cells from the segment's start, less 1][segment].
  std::vector<Real> before_ratio;
  std::vector<Real> after_ratio;
  // Per term: e^{-n dtau}, and what the next step still feels of a change of flow, per cell of
  // length.
  std::vector<Real> decay_ratio;
  std::vector<Real> gain_paspm3;
  // Turbulence.
  Real stirred_m6ps2{};  // flow squared from which turbulence may begin; 1e300: never
  Real reynolds_spm3{};  // Re = flow times this
  Real stir_pa{};        // rho nu^2 l/(2 D^3) of one cell
  Real dtau_ratio{};     // nu dt/r^2
  // What acts sideways at stations.
  bool sides = false;
  bool clips = false;  // cavities are on
  std::vector<CreepStep<Real>> creep;
  int pocket_station = -1;
  Real pocket_pam3{};
  Real liquid_vapour_pa{};  // gauge, also where cavities are off
};

/// What a segment keeps of whether it holds vapour: for one row -1 or 0, which masks a register of
/// its segments (line_wide.h); for lanes of rows a mask.
template <class Real>
struct Flag {
  using Type = MaskOf<Real>;
};
template <>
struct Flag<double> {
  using Type = std::int64_t;
};

template <class Real>
struct LineState {
  std::size_t step = 0;
  std::vector<Real> downstream_pa;  // F: [row][segment], as it left
  std::vector<Real> upstream_pa;    // G
  std::vector<Real> memory_pa;  // z per cell, already decayed for the coming step: [term][station]
  std::vector<Real> memory_sum_pa;      // over the terms, by station
  std::vector<Real> flow_m3ps;          // q of the step before, by station
  std::vector<Real> cavity_m3;          // V, by station
  std::vector<Real> drop_pa;            // friction of a station in the last step
  std::vector<Real> creep_m3;           // retarded volume of the wall: [element][station]
  std::vector<Real> creep_pressure_pa;  // gauge, of the step before, by station
  std::vector<Real> boil_pa;            // as in the plan, then changed by the sides
  Real pocket_m3{};
  MaskOf<Real> stirring{};        // some station is near turbulence
  std::vector<Real> between_m3;   // V between stations: laid out as before_ratio
  std::vector<Real> f_lowest_pa;  // lowest wave that left into a segment in this block of steps
  std::vector<Real> g_lowest_pa;
  std::vector<Real> f_lowest_before_pa;  // and in the block before
  std::vector<Real> g_lowest_before_pa;
  // What last left towards the outlet (f) and from it (g), for the part of a cell.
  Real outlet_f_before_pa{};
  Real outlet_g_before_pa{};
  std::vector<typename Flag<Real>::Type> holds;  // by segment: vapour stands between its stations
  bool holding = false;                          // true while any of them does
  std::size_t block_steps = 0;
};

template <class Real>
struct LineWaves {
  Real at_inlet_pa{};   // arrivals: G that reaches the inlet; departures: F that leaves it
  Real at_outlet_pa{};  // arrivals: F that reaches the outlet; departures: G that leaves it
};

LinePlan<double> make_line_plan(const Line& line, const Liquid& liquid, const LineSetup& setup);
/// Still liquid at one pressure.
LineState<double> still_line(const LinePlan<double>& plan, double pressure_pa);
/// Steady flow: the piezometric pressure falls along the line by the friction of flow_m3ps. In both
/// states the wall has crept for a long time and the pocket is at rest.
LineState<double> steady_line(const LinePlan<double>& plan, double inlet_pressure_pa,
                              double flow_m3ps);
LineWaves<double> arrivals(const LinePlan<double>& plan, const LineState<double>& state);
void depart(const LinePlan<double>& plan, LineState<double>& state,
            const LineWaves<double>& leaving);
/// Elastic volume of the waves in flight and the wall's creep, less cavities and pocket; 0 when the
/// liquid is still at zero (piezometric) pressure and there is no pocket.
double line_stored_volume_m3(const LinePlan<double>& plan, const LineState<double>& state);
double line_cavity_volume_m3(const LineState<double>& state);
/// Pressure in the middle of the line in the last step, from the waves that cross there.
/// EXPECTS an even number of cells and no cavities.
double line_middle_pressure_pa(const LinePlan<double>& plan, const LineState<double>& state);
/// 8 mu L / (pi r^4)
double laminar_resistance_paspm3(const Line& line, const Liquid& liquid);

}  // namespace model
