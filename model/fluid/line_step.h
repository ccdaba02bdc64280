// The hot step of a line, written over a number type; its equations stand in model/fluid/line.h.
//
// Layout   rings of rows [step][segment]; memories [term][station], so that one row takes two
//          stations at a time in the registers of the baseline processor without reordering any
//          sum. A wave that the inlet (outlet) sends is written to the row from which its station
//          will read it together with its neighbours', so that all stations read one row: offsets
//          inlet_delay - middle_delay and so on.
// Errors   none; a not-a-number runs through to the ends, where the row looks for it
// Checked  tests/model/fluid/line_test.cc
#pragma once

#include <cstring>
#include <type_traits>

#include "model/fluid/line.h"
#include "model/fluid/line_cavities.h"
#include "model/fluid/line_sides.h"
#include "model/fluid/turbulence.h"
#include "model/number.h"

namespace model {

template <class Real>
inline LineWaves<Real> arrivals_at(const LinePlan<Real>& plan, const LineState<Real>& state) {
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  return {
      .at_inlet_pa =
          state.upstream_pa[ring_row(state.step, -plan.inlet_delay, plan.row_mask) * plan.stride],
      .at_outlet_pa =
          state
              .downstream_pa[ring_row(state.step, -plan.outlet_delay, plan.row_mask) * plan.stride +
                             last]};
}

/// Two neighbouring stations of one row in one register of the baseline processor; same bits as one
/// by one.
typedef double TwoStations __attribute__((vector_size(16)));
inline TwoStations max_of(TwoStations a, TwoStations b) { return a > b ? a : b; }
inline TwoStations min_of(TwoStations a, TwoStations b) { return a < b ? a : b; }
inline double lower_of(TwoStations a) { return a[0] < a[1] ? a[0] : a[1]; }  // tidy: unit of both

template <class Pack, class Real>
inline Pack load(const Real* from) {
  Pack pack;
  std::memcpy(&pack, from, sizeof(Pack));
  return pack;
}
template <class Pack, class Real>
inline void store(Real* to, const Pack& pack) {
  std::memcpy(to, &pack, sizeof(Pack));
}

/// What the stations read and write in one step, taken out of plan and state once: a compiler
/// cannot know that a store of a wave leaves the plan's pointers alone.
template <class Real>
struct StationView {
  std::size_t count;
  std::size_t terms;
  Real twice_z_paspm3;
  Real dt_over_z_m3ppa;
  Real half_per_step_ps;
  const Real* boil;
  const Real* f_in;
  const Real* g_in;
  Real* f_out;
  Real* g_out;
  const Real* inverse;
  const Real* memory;
  const Real* weight;
  const Real* decay;
  const Real* gain;
  Real* sum;
  Real* flow;
  Real* cavity;
  Real* drop;
  Real* f_lowest;
  Real* g_lowest;
  Real* z;
};

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

/// Computes the stations from j on that one Pack holds; returns their vapour. kTerms > 0 fixes the
/// number of terms at compile time.
template <std::size_t kTerms, class Pack, class Real>
inline Pack pass_stations_at(const StationView<Real>& at, std::size_t j) {
  const Pack zero = Pack{};
  const Pack f_pa = load<Pack>(at.f_in + j);
  const Pack g_pa = load<Pack>(at.g_in + j);
  const Pack before_m3ps = load<Pack>(at.flow + j);
  const Pack lost_pa = load<Pack>(at.weight + j) * load<Pack>(at.sum + j);
  const Pack kept_pa = load<Pack>(at.memory + j) * before_m3ps;
  const Pack difference_pa = f_pa - g_pa;
  const Pack q_m3ps = (difference_pa - lost_pa + kept_pa) * load<Pack>(at.inverse + j);
  const Pack change_m3ps = q_m3ps - before_m3ps;
  const Pack old_m3 = load<Pack>(at.cavity + j);
  const Pack new_m3 =
      max_of(old_m3 + at.dt_over_z_m3ppa * (load<Pack>(at.boil + j) - (f_pa + g_pa)), zero);
  const Pack growth_m3ps = (new_m3 - old_m3) * at.half_per_step_ps;
  const Pack f_leaves_pa = g_pa + at.twice_z_paspm3 * (q_m3ps + growth_m3ps);
  const Pack g_leaves_pa = f_pa - at.twice_z_paspm3 * (q_m3ps - growth_m3ps);
  store(at.cavity + j, new_m3);
  store(at.flow + j, q_m3ps);
  store(at.drop + j, Pack(difference_pa - at.twice_z_paspm3 * q_m3ps));
  store(at.f_out + j, f_leaves_pa);
  store(at.g_out + j, g_leaves_pa);
  store(at.f_lowest + j, min_of(load<Pack>(at.f_lowest + j), f_leaves_pa));
  store(at.g_lowest + j, min_of(load<Pack>(at.g_lowest + j), g_leaves_pa));
  Pack sum_pa = zero;
  const std::size_t terms = kTerms > 0 ? kTerms : at.terms;
  for (std::size_t k = 0; k < terms; ++k) {
    Real* const z = at.z + k * at.count + j;
    const Pack z_pa =
        load<Pack>(at.decay + 2 * k) * load<Pack>(z) + load<Pack>(at.gain + 2 * k) * change_m3ps;
    store(z, z_pa);
    sum_pa = sum_pa + z_pa;
  }
  store(at.sum + j, sum_pa);
  return new_m3;
}

/// Computes all stations; returns a sum of vapour volumes that is zero only if all are.
template <std::size_t kTerms, class Real>
inline Real pass_stations(const StationView<Real>& at) {
  std::size_t j = 0;
  Real vapour_m3{};
  if constexpr (std::is_same_v<Real, double>) {
    TwoStations both_m3{};
    for (; j + 2 <= at.count; j += 2)
      both_m3 = both_m3 + pass_stations_at<kTerms, TwoStations>(at, j);
    vapour_m3 = both_m3[0] + both_m3[1];
  }
  for (; j < at.count; ++j) vapour_m3 = vapour_m3 + pass_stations_at<kTerms, Real>(at, j);
  return vapour_m3;
}

/// Lowest sum of waves that may meet between two stations, over all segments.
template <class Real>
inline Real lowest_meeting_pa(const LineState<Real>& state) {
  const std::size_t segments = state.f_lowest_pa.size();
  const Real* const f = state.f_lowest_pa.data();
  const Real* const g = state.g_lowest_pa.data();
  const Real* const f_before = state.f_lowest_before_pa.data();
  const Real* const g_before = state.g_lowest_before_pa.data();
  Real lowest_pa = Real(kNoWave_pa);
  std::size_t i = 0;
  if constexpr (std::is_same_v<Real, double>) {
    TwoStations both_pa = TwoStations{} + kNoWave_pa;
    for (; i + 2 <= segments; i += 2)
      both_pa =
          min_of(both_pa, min_of(load<TwoStations>(f + i), load<TwoStations>(f_before + i)) +
                              min_of(load<TwoStations>(g + i), load<TwoStations>(g_before + i)));
    lowest_pa = lower_of(both_pa);
  }
  for (; i < segments; ++i)
    lowest_pa = min_of(lowest_pa, min_of(f[i], f_before[i]) + min_of(g[i], g_before[i]));
  return lowest_pa;
}

template <class Real>
inline void depart_from(const LinePlan<Real>& plan, LineState<Real>& state,
                        const LineWaves<Real>& leaving) {
  if (plan.sides) [[unlikely]]
    pass_sides(plan, state);
  const StationView<Real> view = view_stations(plan, state);
  const Real vapour_m3 = view.terms == 5   ? pass_stations<5>(view)
                         : view.terms == 6 ? pass_stations<6>(view)
                                           : pass_stations<0>(view);
  if ((state.step & (kStirLook_steps - 1)) == 0) look_for_stir(plan, state);
  if (state.stirring) [[unlikely]]
    stir_line(plan, state);
  const std::size_t last = view.count;
  state.downstream_pa[ring_row(state.step, plan.inlet_offset, plan.row_mask) * plan.stride] =
      leaving.at_inlet_pa;
  state.upstream_pa[ring_row(state.step, plan.outlet_offset, plan.row_mask) * plan.stride + last] =
      leaving.at_outlet_pa;
  if (plan.watches) {
    state.f_lowest_pa[0] = min_of(state.f_lowest_pa[0], leaving.at_inlet_pa);
    state.g_lowest_pa[last] = min_of(state.g_lowest_pa[last], leaving.at_outlet_pa);
    const auto boils = (lowest_meeting_pa(state) < plan.boils_below_pa) | (vapour_m3 > Real(0.0));
    if (any(boils) || state.holding) [[unlikely]]
      scan_line(plan, state);
    if (++state.block_steps >= plan.longest_delay) [[unlikely]]
      start_block(state);
  }
  ++state.step;
}

}  // namespace model
