// Vapour between the stations of a line (model/fluid/line.h): the rare part of its step.
//
//   A node lies m cells behind the start of a segment of d cells: the F at the node left the
//   segment's start m steps ago, the G at the node left its end d - m steps ago.
//   p = (F + G)/2 + s,   V = max(0, V_old + 2 dt (p_vap - p)/Z)
//   Both waves in flight rise by Z (V - V_old)/dt.
//   s is the part of the neighbouring stations' friction that a real line has not lost yet (or
//   has lost already) at the node: friction is lumped at stations but falls evenly along a real
//   line. Without s the pressure between stations errs by half a station's friction, and so does
//   vapour that stands along a whole tube (0.6 mm on a band).
//
// Watch    a segment is scanned while it holds vapour, while a station at its end does, or while
//          its lowest F and lowest G in flight add up to less than 2 p_vap (of the line's highest
//          place). Lowest values are kept over two blocks, each of the longest delay.
// Errors   none        State   waves in flight, volumes, lowest waves: the caller's
// Source   discrete vapour cavities: Wylie, Streeter 1993, ch. 8; the share s is our own
// Checked  tests/model/fluid/line_test.cc
#pragma once

#include "model/fluid/line.h"
#include "model/fluid/line_wide.h"
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
  int first_cell = 0;  // cells from the inlet to its start
};

template <class Real>
inline Segment segment_of(const LinePlan<Real>& plan, int index) {
  const bool first = index == 0;
  const bool last = index == plan.stations;
  return {.delay = first  ? plan.inlet_delay
                   : last ? plan.outlet_delay
                          : plan.middle_delay,
          .f_offset = first ? plan.inlet_offset : 0,
          .g_offset = last && !first ? plan.outlet_delay - plan.middle_delay : 0,
          .first_cell = first ? 0 : plan.inlet_delay + (index - 1) * plan.middle_delay};
}

/// Twice the pressure below which liquid boils `cell` cells from the inlet, as the waves carry it.
template <class Real>
inline Real twice_vapour_pa(const LinePlan<Real>& plan, int cell) {
  const Real here_pa =
      plan.vapour_pa + (plan.inlet_head_pa + plan.cell_head_pa * Real(static_cast<double>(cell)));
  return here_pa + here_pa;
}

/// Scans all nodes of one segment, in the rows for which it is to be scanned; true while one of
/// them holds vapour.
template <class Real>
[[gnu::noinline]] MaskOf<Real> scan_segment(const LinePlan<Real>& plan, LineState<Real>& state,
                                            int index, MaskOf<Real> scanned) {
  const Segment segment = segment_of(plan, index);
  const auto column = static_cast<std::size_t>(index);
  const Real before_pa = index > 0 ? state.drop_pa[column - 1] : Real(0.0);
  const Real after_pa = index < plan.stations ? state.drop_pa[column] : Real(0.0);
  const Real dt_over_z_m3ppa = plan.step_over_impedance_m3ppa;
  const Real z_per_step_papm3 = Real(1.0) / dt_over_z_m3ppa;
  const std::size_t stride = plan.stride;
  const std::size_t mask = plan.row_mask;
  const std::size_t f_start = state.step + static_cast<std::size_t>(segment.f_offset);
  const std::size_t g_start =
      state.step + static_cast<std::size_t>(segment.g_offset - segment.delay);
  Real* const f = state.downstream_pa.data() + column;
  Real* const g = state.upstream_pa.data() + column;
  Real* const cavity = state.between_m3.data() + column;
  const Real* const before = plan.before_ratio.data() + column;
  const Real* const after = plan.after_ratio.data() + column;
  const Real node_end_cells =
      index == plan.stations ? plan.outlet_cells : Real(static_cast<double>(segment.delay));
  Real held_m3{};
  Real boils_pa = twice_vapour_pa(plan, segment.first_cell);
  const Real twice_cell_head_pa = plan.cell_head_pa + plan.cell_head_pa;
  for (std::size_t m = 1; m < static_cast<std::size_t>(segment.delay); ++m) {
    const std::size_t node = (m - 1) * stride;
    const std::size_t f_at = ((f_start - m) & mask) * stride;
    const std::size_t g_at = ((g_start + m) & mask) * stride;
    const Real twice_pa = f[f_at] + g[g_at] + before[node] * before_pa - after[node] * after_pa;
    const Real old_m3 = cavity[node];
    boils_pa = boils_pa + twice_cell_head_pa;
    const Real new_m3 = max_of(old_m3 + dt_over_z_m3ppa * (boils_pa - twice_pa), Real(0.0));
    const Real rise_pa = (new_m3 - old_m3) * z_per_step_papm3;
    // Of rows in lanes some have fewer nodes before their outlets.
    const MaskOf<Real> here = scanned & (Real(static_cast<double>(m)) < node_end_cells);
    f[f_at] = select(here, f[f_at] + rise_pa, f[f_at]);
    g[g_at] = select(here, g[g_at] + rise_pa, g[g_at]);
    cavity[node] = select(here, new_m3, old_m3);
    held_m3 = held_m3 + cavity[node];
  }
  return held_m3 > Real(0.0);
}

inline NodesView view_nodes(const LinePlan<double>& plan, LineState<double>& state) {
  return {.step = state.step,
          .mask = plan.row_mask,
          .stride = plan.stride,
          .delay = static_cast<std::size_t>(plan.middle_delay),
          .dt_over_z_m3ppa = plan.step_over_impedance_m3ppa,
          .twice_cell_head_pa = plan.cell_head_pa + plan.cell_head_pa,
          .first_boil_pa = plan.first_boil_pa.data(),
          .drop_pa = state.drop_pa.data(),
          .before_ratio = plan.before_ratio.data(),
          .after_ratio = plan.after_ratio.data(),
          .f_pa = state.downstream_pa.data(),
          .g_pa = state.upstream_pa.data(),
          .cavity_m3 = state.between_m3.data()};
}

/// Scans the segments whose flag is up, and leaves it up where vapour stands. The middle segments,
/// which have the same length, are scanned several at a time (line_wide.h).
inline void scan_segments(const LinePlan<double>& plan, LineState<double>& state) {
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  for (const std::size_t i : {std::size_t{0}, last})
    if (raised(state.holds[i]))
      put_flag(state.holds[i], scan_segment(plan, state, static_cast<int>(i), true));
  if (last > 1) plan.kernels->scan_nodes(view_nodes(plan, state), 1, last, state.holds.data());
}

/// Runs after the stations of a step in which some segment may boil; scans each that may.
template <class Real>
[[gnu::noinline]] void scan_line(const LinePlan<Real>& plan, LineState<Real>& state) {
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  MaskOf<Real> vapour_before{};  // at the station that starts the segment
  for (std::size_t i = 0; i <= last; ++i) {
    MaskOf<Real> vapour_after{};
    if (i < last) vapour_after = state.cavity_m3[i] > Real(0.0);
    const Real meeting_pa = min_of(state.f_lowest_pa[i], state.f_lowest_before_pa[i]) +
                            min_of(state.g_lowest_pa[i], state.g_lowest_before_pa[i]);
    const MaskOf<Real> low = meeting_pa < plan.boils_below_pa;
    put_flag(state.holds[i], low | vapour_before | vapour_after | raised(state.holds[i]));
    vapour_before = vapour_after;
  }
  scan_segments(plan, state);
  state.holding = false;
  for (const auto& flag : state.holds) state.holding |= any(raised(flag));
}

/// Begins a new block of the longest delay: whatever left before the block that ends here has
/// arrived by now.
template <class Real>
[[gnu::noinline]] void start_block(LineState<Real>& state) {
  state.block_steps = 0;
  state.f_lowest_before_pa.swap(state.f_lowest_pa);
  state.g_lowest_before_pa.swap(state.g_lowest_pa);
  for (Real& lowest_pa : state.f_lowest_pa) lowest_pa = Real(kNoWave_pa);
  for (Real& lowest_pa : state.g_lowest_pa) lowest_pa = Real(kNoWave_pa);
}

}  // namespace model
