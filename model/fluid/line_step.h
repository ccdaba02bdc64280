// The hot step of a line, written over a number type; its equations stand in model/fluid/line.h.
//
// Layout   rings of rows [step][segment]; memories [term][station], so that one row takes several
//          stations at a time (line_wide.h) without reordering any sum. A wave that the inlet
//          (outlet) sends is written to the row from which its station will read it together with
//          its neighbours', so that all stations read one row: offsets inlet_delay - middle_delay
//          and so on.
// Errors   none; a not-a-number runs through to the ends, where the row looks for it
// Checked  tests/model/fluid/line_test.cc
#pragma once

#include "model/fluid/line.h"
#include "model/fluid/line_cavities.h"
#include "model/fluid/line_sides.h"
#include "model/fluid/line_wide.h"
#include "model/fluid/turbulence.h"
#include "model/number.h"

namespace model {

/// What left the last station as long ago as the outlet lies behind it, by row.
inline double earlier_wave_pa(const LinePlan<double>& plan, const LineState<double>& state,
                              const double* column_pa) {
  return column_pa[ring_row(state.step, -plan.outlet_delay, plan.row_mask) * plan.stride];
}

/// Writes what leaves the outlet to the row from which the last station will read it, by row.
inline void put_ahead_of_middle(const LinePlan<double>& plan, const LineState<double>& state,
                                double wave_pa, double* column_pa) {
  column_pa[ring_row(state.step, plan.outlet_offset, plan.row_mask) * plan.stride] = wave_pa;
}

template <class Real>
inline LineWaves<Real> arrivals_at(const LinePlan<Real>& plan, const LineState<Real>& state) {
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  return {
      .at_inlet_pa =
          state.upstream_pa[ring_row(state.step, -plan.inlet_delay, plan.row_mask) * plan.stride],
      .at_outlet_pa = earlier_wave_pa(plan, state, state.downstream_pa.data() + last)};
}

template <class Real>
inline StationView<Real> view_stations(const LinePlan<Real>& plan, LineState<Real>& state) {
  const std::size_t from = ring_row(state.step, -plan.middle_delay, plan.row_mask) * plan.stride;
  const std::size_t to = (state.step & plan.row_mask) * plan.stride;
  return {.count = static_cast<std::size_t>(plan.stations),
          .terms = static_cast<std::size_t>(plan.terms),
          .twice_z_paspm3 = plan.impedance_paspm3 + plan.impedance_paspm3,
          .dt_over_z_m3ppa = plan.step_over_impedance_m3ppa,
          .half_per_step_ps = plan.half_per_step_ps,
          .boil = plan.sides ? state.boil_pa.data() : plan.boil_pa.data(),
          .f_in = state.downstream_pa.data() + from,
          .g_in = state.upstream_pa.data() + from + 1,
          .f_out = state.downstream_pa.data() + to + 1,
          .g_out = state.upstream_pa.data() + to,
          .inverse = plan.inverse_m3pspa.data(),
          .memory = plan.memory_paspm3.data(),
          .weight = plan.weight_ratio.data(),
          .decay = plan.decay_ratio.data(),
          .gain = plan.gain_paspm3.data(),
          .sum = state.memory_sum_pa.data(),
          .flow = state.flow_m3ps.data(),
          .cavity = state.cavity_m3.data(),
          .drop = state.drop_pa.data(),
          .f_lowest = state.f_lowest_pa.data() + 1,
          .g_lowest = state.g_lowest_pa.data(),
          .z = state.memory_pa.data()};
}

inline double pass_stations_m3(const LinePlan<double>& plan, const StationView<double>& view) {
  return plan.kernels->pass_stations(view);
}

/// Lowest sum of waves that may meet between two stations, over all segments.
inline double lowest_meeting_pa(const LinePlan<double>& plan, const LineState<double>& state) {
  return plan.kernels->lowest_meeting_pa({.segments = state.f_lowest_pa.size(),
                                          .f_pa = state.f_lowest_pa.data(),
                                          .g_pa = state.g_lowest_pa.data(),
                                          .f_before_pa = state.f_lowest_before_pa.data(),
                                          .g_before_pa = state.g_lowest_before_pa.data()});
}

/// Lets a wave wait for the part of a cell.
template <class Real>
inline Real delayed(const Real& part_ratio, const Real& now_pa, Real& before_pa) {
  const Real delayed_pa = now_pa + part_ratio * (before_pa - now_pa);
  before_pa = now_pa;
  return delayed_pa;
}

/// Lanes of rows bring their own earlier_wave_pa, put_ahead_of_middle, pass_stations_m3,
/// lowest_meeting_pa and scan_segments.
template <class Real>
inline void depart_from(const LinePlan<Real>& plan, LineState<Real>& state,
                        const LineWaves<Real>& leaving) {
  if (plan.sides) [[unlikely]]
    pass_sides(plan, state);
  const StationView<Real> view = view_stations(plan, state);
  const Real vapour_m3 = pass_stations_m3(plan, view);
  if ((state.step & (kStirLook_steps - 1)) == 0) look_for_stir(plan, state);
  if (any(state.stirring)) [[unlikely]]
    stir_line(plan, state);
  const std::size_t last = view.count;
  state.downstream_pa[ring_row(state.step, plan.inlet_offset, plan.row_mask) * plan.stride] =
      leaving.at_inlet_pa;
  Real& towards_outlet_pa = state.downstream_pa[(state.step & plan.row_mask) * plan.stride + last];
  towards_outlet_pa = delayed(plan.part_cell_ratio, towards_outlet_pa, state.outlet_f_before_pa);
  const Real from_outlet_pa =
      delayed(plan.part_cell_ratio, leaving.at_outlet_pa, state.outlet_g_before_pa);
  put_ahead_of_middle(plan, state, from_outlet_pa, state.upstream_pa.data() + last);
  if (plan.watches) {
    state.f_lowest_pa[0] = min_of(state.f_lowest_pa[0], leaving.at_inlet_pa);
    state.f_lowest_pa[last] = min_of(state.f_lowest_pa[last], towards_outlet_pa);
    state.g_lowest_pa[last] = min_of(state.g_lowest_pa[last], from_outlet_pa);
    const auto boils =
        (lowest_meeting_pa(plan, state) < plan.boils_below_pa) | (vapour_m3 > Real(0.0));
    if (any(boils) || state.holding) [[unlikely]]
      scan_line(plan, state);
    if (++state.block_steps >= plan.longest_delay) [[unlikely]]
      start_block(state);
  }
  ++state.step;
}

}  // namespace model
