// Vapour between the stations of a line (model/fluid/line.h): the rare part of its step, and the watch that calls it.
//
//   node m cells behind the start of a segment of d cells: F left the segment's start m steps ago, G its end d - m
//   steps ago; p = (F + G)/2 + share of the neighbouring stations' friction that a real line has lost up to there
//   V = max(0, V_old + 2 dt (p_vap - p) / Z);  both waves in flight rise by Z (V - V_old) / dt
// Friction is lumped at the stations but falls evenly along a real line: without that share the pressure between stations
// errs by half a station's friction, and vapour that stands along the whole tube by as much (0.6 mm on a band).
//
// Watch    a segment is scanned while it holds vapour, while a station at its end does, or while its lowest F and lowest G
//          in flight sum up below 2 p_vap. Lowest values are kept over two blocks of the longest delay.
// Errors   none        State   waves in flight, volumes, lowest waves: the caller's
// Source   discrete vapour cavities: Wylie, Streeter 1993, ch. 8      Checked  tests/model/line_test.cc
#pragma once

#include "model/fluid/line.h"
#include "model/number.h"

namespace model {

inline std::size_t ring_row(std::size_t step, int offset, std::size_t mask) {
  return (step + static_cast<std::size_t>(static_cast<std::ptrdiff_t>(offset))) & mask;
}

/// Cells of a segment, and by how many rows its waves are written ahead.
struct Segment {
  int delay = 0;
  int f_offset = 0;
  int g_offset = 0;
};

template <class Real>
inline Segment segment_of(const LinePlan<Real>& plan, int index) {
  const bool first = index == 0;
  const bool last = index == plan.stations;
  return {.delay = first ? plan.inlet_delay : last ? plan.outlet_delay : plan.middle_delay,
          .f_offset = first ? plan.inlet_offset : 0,
          .g_offset = last ? plan.outlet_offset : 0};
}

/// All nodes of one segment; true while one of them holds vapour.
template <class Real>
inline bool scan_segment(const LinePlan<Real>& plan, LineState<Real>& state, int index) {
  const Segment segment = segment_of(plan, index);
  const auto column = static_cast<std::size_t>(index);
  const Real before_pa = index > 0 ? state.drop_pa[column - 1] : Real(0.0);
  const Real after_pa = index < plan.stations ? state.drop_pa[column] : Real(0.0);
  const Real z_per_step_papm3 = Real(1.0) / plan.step_over_impedance_m3ppa;
  const Real twice_vapour_pa = plan.vapour_pa + plan.vapour_pa;
  bool holds = false;
  for (int m = 1; m < segment.delay; ++m) {
    const std::size_t between = static_cast<std::size_t>(m - 1) * plan.stride + column;
    const std::size_t f_row = ring_row(state.step, segment.f_offset - m, plan.row_mask);
    const std::size_t g_row = ring_row(state.step, segment.g_offset - (segment.delay - m), plan.row_mask);
    Real& f_pa = state.downstream_pa[f_row * plan.stride + column];
    Real& g_pa = state.upstream_pa[g_row * plan.stride + column];
    const Real twice_pa = f_pa + g_pa + plan.before_ratio[between] * before_pa - plan.after_ratio[between] * after_pa;
    const Real old_m3 = state.between_m3[between];
    const Real new_m3 =
        max_of(old_m3 + plan.step_over_impedance_m3ppa * (twice_vapour_pa - twice_pa), Real(0.0));
    const Real rise_pa = (new_m3 - old_m3) * z_per_step_papm3;
    f_pa = f_pa + rise_pa;
    g_pa = g_pa + rise_pa;
    state.between_m3[between] = new_m3;
    holds |= any(new_m3 > Real(0.0));
  }
  return holds;
}

/// Lowest waves that one segment may hold, after `f_pa` and `g_pa` have left into it.
template <class Real>
inline bool may_boil(const LinePlan<Real>& plan, LineState<Real>& state, std::size_t column, Real f_pa, Real g_pa) {
  LowestWaves<Real>& lowest = state.lowest[column];
  lowest.f_now_pa = min_of(lowest.f_now_pa, f_pa);
  lowest.g_now_pa = min_of(lowest.g_now_pa, g_pa);
  const Real sum_pa = min_of(lowest.f_now_pa, lowest.f_before_pa) + min_of(lowest.g_now_pa, lowest.g_before_pa);
  return any(sum_pa < plan.vapour_pa + plan.vapour_pa);
}

/// After the stations of a step: looks for vapour between them.
template <class Real>
inline void watch_cavities(const LinePlan<Real>& plan, LineState<Real>& state, const LineWaves<Real>& leaving) {
  const std::size_t row = (state.step & plan.row_mask) * plan.stride;
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  bool vapour_before = false;  // at the station that starts the segment
  for (std::size_t column = 0; column <= last; ++column) {
    const Real f_pa = column == 0 ? leaving.at_inlet_pa : state.downstream_pa[row + column];
    const Real g_pa = column == last ? leaving.at_outlet_pa : state.upstream_pa[row + column];
    const bool vapour_after = column < last && any(state.cavity_m3[column] > Real(0.0));
    const bool low = may_boil(plan, state, column, f_pa, g_pa);
    if (low || vapour_before || vapour_after || state.holds[column] != 0) [[unlikely]]
      state.holds[column] = scan_segment(plan, state, static_cast<int>(column)) ? 1 : 0;
    vapour_before = vapour_after;
  }
  if (++state.block_steps < plan.longest_delay) return;
  state.block_steps = 0;
  for (LowestWaves<Real>& lowest : state.lowest) {
    lowest.f_before_pa = lowest.f_now_pa;
    lowest.g_before_pa = lowest.g_now_pa;
    lowest.f_now_pa = lowest.g_now_pa = Real(1e300);
  }
}

}  // namespace model
