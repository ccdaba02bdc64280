#include "model/fluid/line.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "model/fluid/line_sides.h"
#include "model/fluid/line_step.h"
#include "model/fluid/turbulence.h"
#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {
namespace {

// A term that falls to e^-40 within one step leaves nothing worth a multiplication to the next
// step: its share acts inside the step.
constexpr double kForgottenWithinStep_ratio = 40.0;
// Far below any pressure: it switches cavities off without a branch.
constexpr double kNoVapour_pa = -1e300;

double area_m2(const Line& line) { return 0.25 * shared::kPi_ratio * line.bore_m * line.bore_m; }

/// The longest way to the outlet that a line may have with the stations of another.
int longest_outlet_delay(int middle_delay) { return std::max(2 * middle_delay, middle_delay + 3); }

// Stations stand as evenly as whole cells allow; the cells that are left over go to both ends.
void place_stations(int cells, int stations, LinePlan<double>& plan) {
  plan.stations = stations;
  if (stations == 0) {
    plan.inlet_delay = plan.middle_delay = plan.outlet_delay = cells;
    return;
  }
  int middle = std::max(1, (2 * cells + stations) / (2 * stations));  // nearest whole number
  // Both ends together get about one such length: a longer one would be a lump of its own.
  if (cells - (stations - 1) * middle > 2 * middle) ++middle;
  stations = std::clamp((2 * cells + middle) / (2 * middle), 1, stations);
  while (stations > 1 && cells - (stations - 1) * middle < 2) --stations;
  const int ends = cells - (stations - 1) * middle;
  plan.stations = stations;
  plan.middle_delay = middle;
  plan.inlet_delay = ends / 2;
  plan.outlet_delay = ends - ends / 2;
}

void place_as_in_layout(const LineSetup& setup, LinePlan<double>& plan) {
  const auto rest = [&] { return plan.outlet_delay + setup.cells - setup.layout_cells; };
  place_stations(setup.layout_cells > 0 ? setup.layout_cells : setup.cells, setup.stations, plan);
  if (setup.layout_cells > 0) {
    if (plan.stations > 0 && rest() >= 1 && rest() <= longest_outlet_delay(plan.middle_delay))
      plan.outlet_delay = rest();
    else
      place_stations(setup.cells, setup.stations, plan);
  }
  plan.cells = setup.cells;
  plan.part_cell_ratio = setup.part_cell_ratio;
  plan.outlet_cells = plan.outlet_delay;
  if (plan.stations == 0) return;
  plan.inlet_offset = plan.inlet_delay - plan.middle_delay;
  plan.outlet_offset = plan.outlet_delay - plan.middle_delay;
  const auto middle_cells = static_cast<double>(plan.middle_delay);
  for (int j = 0; j < plan.stations; ++j) {
    const double before = j == 0 ? plan.inlet_delay : 0.5 * middle_cells;
    const double after =
        j == plan.stations - 1 ? plan.outlet_delay + setup.part_cell_ratio : 0.5 * middle_cells;
    plan.length_cells.push_back(before + after);
  }
}

double all_cells(const LineSetup& setup) { return setup.cells + setup.part_cell_ratio; }

// Twice the share of the lump of station `near`'s friction that lies between it and a node
// `cells_away` from it; the lump reaches `reach_cells` to that side.
double lump_share_ratio(double cells_away, double reach_cells, double length_cells) {
  return cells_away < reach_cells ? 2.0 * (reach_cells - cells_away) / length_cells : 0.0;
}

void add_shares(LinePlan<double>& plan) {
  plan.before_ratio.assign(plan.longest_delay * plan.stride, 0.0);
  plan.after_ratio.assign(plan.longest_delay * plan.stride, 0.0);
  for (int index = 0; index <= plan.stations; ++index) {
    const Segment segment = segment_of(plan, index);
    const auto column = static_cast<std::size_t>(index);
    for (int m = 1; m < segment.delay; ++m) {
      const std::size_t between = static_cast<std::size_t>(m - 1) * plan.stride + column;
      const double half = 0.5 * segment.delay;
      if (index > 0)
        plan.before_ratio[between] = lump_share_ratio(
            m, index == plan.stations ? segment.delay + plan.part_cell_ratio : half,
            plan.length_cells[column - 1]);
      if (index < plan.stations)
        plan.after_ratio[between] = lump_share_ratio(
            segment.delay - m, index == 0 ? segment.delay : half, plan.length_cells[column]);
    }
  }
}

void add_friction(const Line& line, const Liquid& liquid, const LineSetup& setup,
                  LinePlan<double>& plan) {
  const double radius_m = 0.5 * line.bore_m;
  const double cell_m = line.length_m / all_cells(setup);
  const double dtau_ratio =
      liquid.viscosity_pas / liquid.density_kgpm3 * setup.step_s / (radius_m * radius_m);
  const bool steady = setup.friction != WallFriction::kNone;
  const bool unsteady = setup.friction == WallFriction::kUnsteady;
  const double resistance_paspm3 =  // of one cell
      steady ? 8.0 * liquid.viscosity_pas * cell_m / (area_m2(line) * radius_m * radius_m) : 0.0;
  const double memory_scale_paspm3 = 0.5 * resistance_paspm3;  // 4 mu l / (A r^2)
  const double first_paspm3 =
      unsteady ? memory_scale_paspm3 * exact_kernel_integral_ratio(dtau_ratio) / dtau_ratio : 0.0;
  for (const double cells : plan.length_cells) {
    plan.weight_ratio.push_back(cells);
    plan.memory_paspm3.push_back(first_paspm3 * cells);
    plan.inverse_m3pspa.push_back(
        1.0 / (2.0 * plan.impedance_paspm3 + (resistance_paspm3 + first_paspm3) * cells));
  }
  if (!unsteady) return;
  for (const KernelTerm& term : setup.kernel) {
    EXPECTS(term.weight_ratio > 0.0 && term.rate_ratio > 0.0);
    const double fall_ratio = term.rate_ratio * dtau_ratio;
    if (fall_ratio > kForgottenWithinStep_ratio) continue;
    const double decay_ratio = exp_of(-fall_ratio);
    const double gain_paspm3 =
        decay_ratio * memory_scale_paspm3 * term.weight_ratio * -expm1_of(-fall_ratio) / fall_ratio;
    plan.decay_ratio.push_back(decay_ratio);
    plan.gain_paspm3.push_back(gain_paspm3);
    ++plan.terms;
  }
}

void add_heights(const Line& line, const Liquid& liquid, const LineSetup& setup,
                 LinePlan<double>& plan) {
  const double weight_papm = liquid.density_kgpm3 * shared::kStandardGravity_mps2;
  plan.inlet_head_pa = weight_papm * setup.inlet_height_m;
  plan.outlet_head_pa = weight_papm * (setup.inlet_height_m + line.rise_m);
  plan.cell_head_pa = weight_papm * line.rise_m / all_cells(setup);
  const double highest_pa = plan.vapour_pa + std::max(plan.inlet_head_pa, plan.outlet_head_pa);
  plan.boils_below_pa = highest_pa + highest_pa;
  for (int j = 0; j < plan.stations; ++j)
    plan.boil_pa.push_back(twice_vapour_pa(plan, segment_of(plan, j + 1).first_cell));
  for (int i = 0; i <= plan.stations; ++i)
    plan.first_boil_pa.push_back(twice_vapour_pa(plan, segment_of(plan, i).first_cell));
}

}  // namespace

double laminar_resistance_paspm3(const Line& line, const Liquid& liquid) {
  const double radius_m = 0.5 * line.bore_m;
  return 8.0 * liquid.viscosity_pas * line.length_m / (area_m2(line) * radius_m * radius_m);
}

LinePlan<double> make_line_plan(const Line& line, const Liquid& liquid, const LineSetup& setup) {
  EXPECTS(line.length_m > 0.0 && line.bore_m > 0.0 && setup.step_s > 0.0);
  EXPECTS(liquid.density_kgpm3 > 0.0 && liquid.viscosity_pas >= 0.0);
  EXPECTS(setup.cells >= 1 && setup.stations >= 0 && setup.stations < setup.cells);
  EXPECTS(setup.part_cell_ratio >= 0.0 && setup.part_cell_ratio < 1.0);
  LinePlan<double> plan;
  place_as_in_layout(setup, plan);
  // Alike in all lines that share a layout, so that their rows may stand in lanes.
  const int longest =
      std::max({plan.inlet_delay, longest_outlet_delay(plan.middle_delay), plan.outlet_delay + 1});
  plan.longest_delay = static_cast<std::size_t>(longest);
  plan.row_mask = std::bit_ceil(static_cast<std::size_t>(longest) + 1) - 1;
  plan.stride = static_cast<std::size_t>(setup.stations) + 1;
  plan.step_s = setup.step_s;
  plan.wave_speed_mps = line.length_m / (all_cells(setup) * setup.step_s);
  plan.impedance_paspm3 = liquid.density_kgpm3 * plan.wave_speed_mps / area_m2(line);
  plan.step_over_impedance_m3ppa = setup.step_s / plan.impedance_paspm3;
  plan.half_per_step_ps = 0.5 / setup.step_s;
  plan.vapour_pa = setup.cavities ? setup.vapour_pressure_pa : kNoVapour_pa;
  plan.watches =
      setup.cavities && std::max({plan.inlet_delay, plan.middle_delay, plan.outlet_delay}) > 1;
  plan.stirred_m6ps2 = kNoWave_pa;
  plan.kernels = &line_kernels().back();
  add_friction(line, liquid, setup, plan);
  add_heights(line, liquid, setup, plan);
  if (setup.turbulence && setup.friction != WallFriction::kNone) add_turbulence(line, liquid, plan);
  add_sides(line, setup, plan);
  add_shares(plan);
  return plan;
}

LineState<double> still_line(const LinePlan<double>& plan, double pressure_pa) {
  return steady_line(plan, pressure_pa, 0.0);
}

LineState<double> steady_line(const LinePlan<double>& plan, double inlet_pressure_pa,
                              double flow_m3ps) {
  const std::size_t rows = plan.row_mask + 1;
  const auto stations = static_cast<std::size_t>(plan.stations);
  LineState<double> state;
  state.downstream_pa.assign(rows * plan.stride, 0.0);
  state.upstream_pa.assign(rows * plan.stride, 0.0);
  state.memory_pa.assign(stations * static_cast<std::size_t>(plan.terms), 0.0);
  state.memory_sum_pa.assign(stations, 0.0);
  state.flow_m3ps.assign(stations, flow_m3ps);
  state.cavity_m3.assign(stations, 0.0);
  state.drop_pa.assign(stations, 0.0);
  if (plan.sides) {
    state.creep_m3.assign(stations * plan.creep.size(), 0.0);
    state.creep_pressure_pa.assign(stations, 0.0);
    state.boil_pa = plan.boil_pa;
  }
  state.between_m3.assign(plan.longest_delay * plan.stride, 0.0);
  for (std::vector<double>* lowest : {&state.f_lowest_pa, &state.g_lowest_pa,
                                      &state.f_lowest_before_pa, &state.g_lowest_before_pa})
    lowest->assign(plan.stride, kNoWave_pa);
  state.holds.assign(plan.stride, 0);
  double pressure_pa = inlet_pressure_pa;
  for (std::size_t segment = 0; segment <= stations; ++segment) {
    for (std::size_t row = 0; row < rows; ++row) {
      state.downstream_pa[row * plan.stride + segment] =
          pressure_pa + plan.impedance_paspm3 * flow_m3ps;
      state.upstream_pa[row * plan.stride + segment] =
          pressure_pa - plan.impedance_paspm3 * flow_m3ps;
    }
    state.f_lowest_pa[segment] = pressure_pa + plan.impedance_paspm3 * flow_m3ps;
    state.g_lowest_pa[segment] = pressure_pa - plan.impedance_paspm3 * flow_m3ps;
    if (segment == stations) {
      state.outlet_f_before_pa = pressure_pa + plan.impedance_paspm3 * flow_m3ps;
      state.outlet_g_before_pa = pressure_pa - plan.impedance_paspm3 * flow_m3ps;
      break;
    }
    // A station has the pressure of the waves that arrive: the mean of both sides.
    const double stir_pa = turbulent_drop_pa(plan, flow_m3ps);
    const double drop_pa = (1.0 / plan.inverse_m3pspa[segment] - 2.0 * plan.impedance_paspm3 -
                            plan.memory_paspm3[segment]) *
                               flow_m3ps +
                           plan.weight_ratio[segment] * stir_pa;
    state.memory_sum_pa[segment] = stir_pa;
    if (plan.sides) rest_sides(plan, state, segment, pressure_pa - 0.5 * drop_pa);
    pressure_pa -= drop_pa;
  }
  return state;
}

LineWaves<double> arrivals(const LinePlan<double>& plan, const LineState<double>& state) {
  return arrivals_at(plan, state);
}

void depart(const LinePlan<double>& plan, LineState<double>& state,
            const LineWaves<double>& leaving) {
  depart_from(plan, state, leaving);
}

double line_cavity_volume_m3(const LineState<double>& state) {
  double sum_m3 = 0.0;
  for (const double cavity_m3 : state.cavity_m3) sum_m3 += cavity_m3;
  for (const double cavity_m3 : state.between_m3) sum_m3 += cavity_m3;
  return sum_m3;
}

double line_stored_volume_m3(const LinePlan<double>& plan, const LineState<double>& state) {
  // A cell holds dt/(2 Z) (F + G): the volume that a wave brings in one step stays in the cell
  // while the wave crosses it.
  double waves_pa = 0.0;
  for (int index = 0; index <= plan.stations; ++index) {
    const Segment segment = segment_of(plan, index);
    const auto column = static_cast<std::size_t>(index);
    for (int age = 1; age <= segment.delay; ++age) {
      const std::size_t f_row = ring_row(state.step, segment.f_offset - age, plan.row_mask);
      const std::size_t g_row = ring_row(state.step, segment.g_offset - age, plan.row_mask);
      waves_pa += state.downstream_pa[f_row * plan.stride + column] +
                  state.upstream_pa[g_row * plan.stride + column];
    }
  }
  waves_pa += plan.part_cell_ratio * (state.outlet_f_before_pa + state.outlet_g_before_pa);
  double sides_m3 = -state.pocket_m3;
  for (const double wall_m3 : state.creep_m3) sides_m3 += wall_m3;
  return 0.5 * plan.step_over_impedance_m3ppa * waves_pa - line_cavity_volume_m3(state) + sides_m3;
}

double line_middle_pressure_pa(const LinePlan<double>& plan, const LineState<double>& state) {
  EXPECTS(plan.cells % 2 == 0 && plan.part_cell_ratio == 0.0 && plan.vapour_pa == kNoVapour_pa);
  int index = 0;
  int from_start = plan.cells / 2;  // cells from the start of the segment
  while (index < plan.stations && from_start > segment_of(plan, index).delay)
    from_start -= segment_of(plan, index++).delay;
  const Segment segment = segment_of(plan, index);
  // At a station the wave from downstream comes out of the next segment.
  const bool at_station = from_start == segment.delay && index < plan.stations;
  const Segment after = at_station ? segment_of(plan, index + 1) : segment;
  const int g_age = at_station ? after.delay : segment.delay - from_start;
  const std::size_t f_row = ring_row(state.step, segment.f_offset - from_start - 1, plan.row_mask);
  const std::size_t g_row = ring_row(state.step, after.g_offset - g_age - 1, plan.row_mask);
  const auto column = static_cast<std::size_t>(index);
  return 0.5 * (state.downstream_pa[f_row * plan.stride + column] +
                state.upstream_pa[g_row * plan.stride + column + (at_station ? 1 : 0)]);
}

}  // namespace model
