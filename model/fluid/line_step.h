// The hot step of a line (model/fluid/line.h), written over a number type: its equations stand there.
//
// Layout   rings of rows [step][segment]; memories [term][station], so that one row takes two stations at a time in the
//          registers of the baseline processor without reordering any sum.
//          A wave that the inlet (outlet) sends is written to the row from which its station will read it together with
//          its neighbours', so that all stations read one row: offsets inlet_delay - middle_delay and so on.
// Errors   none; a not-a-number runs through to the ends, where the row looks for it
// Checked  tests/model/line_test.cc
#pragma once

#include <cstring>
#include <type_traits>

#include "model/fluid/line_cavities.h"
#include "model/fluid/line.h"
#include "model/number.h"

namespace model {

template <class Real>
inline LineWaves<Real> arrivals_at(const LinePlan<Real>& plan, const LineState<Real>& state) {
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  return {.at_inlet_pa = state.upstream_pa[ring_row(state.step, -plan.inlet_delay, plan.row_mask) * plan.stride],
          .at_outlet_pa =
              state.downstream_pa[ring_row(state.step, -plan.outlet_delay, plan.row_mask) * plan.stride + last]};
}

/// Two neighbouring stations of one row in one register of the baseline processor; same bits as one by one.
typedef double TwoStations __attribute__((vector_size(16)));
inline TwoStations max_of(TwoStations a, TwoStations b) { return a > b ? a : b; }

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

/// What one step's stations read and write, taken out of plan and state once: a compiler cannot know that a store of a
/// wave leaves the plan's pointers alone.
template <class Real>
struct StationView {
  std::size_t count;
  std::size_t terms;
  Real twice_z_paspm3;
  Real dt_over_z_m3ppa;
  Real half_per_step_ps;
  Real twice_vapour_pa;
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
          .twice_vapour_pa = plan.vapour_pa + plan.vapour_pa,
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
          .z = state.memory_pa.data()};
}

/// The stations from j on that one Pack holds. kTerms > 0 fixes the number of terms at compile time.
template <std::size_t kTerms, class Pack, class Real>
inline void pass_stations_at(const StationView<Real>& at, std::size_t j) {
  const Pack zero = Pack{};
  const Pack f_pa = load<Pack>(at.f_in + j);
  const Pack g_pa = load<Pack>(at.g_in + j);
  const Pack before_m3ps = load<Pack>(at.flow + j);
  const Pack lost_pa = load<Pack>(at.weight + j) * load<Pack>(at.sum + j);
  const Pack kept_pa = load<Pack>(at.memory + j) * before_m3ps;
  const Pack q_m3ps = (f_pa - g_pa - lost_pa + kept_pa) * load<Pack>(at.inverse + j);
  const Pack change_m3ps = q_m3ps - before_m3ps;
  const Pack old_m3 = load<Pack>(at.cavity + j);
  const Pack new_m3 = max_of(old_m3 + at.dt_over_z_m3ppa * (at.twice_vapour_pa - (f_pa + g_pa)), zero);
  const Pack growth_m3ps = (new_m3 - old_m3) * at.half_per_step_ps;
  store(at.cavity + j, new_m3);
  store(at.flow + j, q_m3ps);
  store(at.drop + j, Pack(f_pa - g_pa - at.twice_z_paspm3 * q_m3ps));
  store(at.f_out + j, Pack(g_pa + at.twice_z_paspm3 * (q_m3ps + growth_m3ps)));
  store(at.g_out + j, Pack(f_pa - at.twice_z_paspm3 * (q_m3ps - growth_m3ps)));
  Pack sum_pa = zero;
  const std::size_t terms = kTerms > 0 ? kTerms : at.terms;
  for (std::size_t k = 0; k < terms; ++k) {
    Real* const z = at.z + k * at.count + j;
    const Pack z_pa = at.decay[k] * load<Pack>(z) + at.gain[k] * change_m3ps;
    store(z, z_pa);
    sum_pa = sum_pa + z_pa;
  }
  store(at.sum + j, sum_pa);
}

template <std::size_t kTerms, class Real>
inline void pass_stations(const StationView<Real>& at) {
  std::size_t j = 0;
  if constexpr (std::is_same_v<Real, double>)
    for (; j + 2 <= at.count; j += 2) pass_stations_at<kTerms, TwoStations>(at, j);
  for (; j < at.count; ++j) pass_stations_at<kTerms, Real>(at, j);
}

template <class Real>
inline void depart_from(const LinePlan<Real>& plan, LineState<Real>& state, const LineWaves<Real>& leaving) {
  const StationView<Real> view = view_stations(plan, state);
  if (view.terms == 5) {
    pass_stations<5>(view);
  } else {
    pass_stations<0>(view);
  }
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  state.downstream_pa[ring_row(state.step, plan.inlet_offset, plan.row_mask) * plan.stride] = leaving.at_inlet_pa;
  state.upstream_pa[ring_row(state.step, plan.outlet_offset, plan.row_mask) * plan.stride + last] =
      leaving.at_outlet_pa;
  if (plan.watches) watch_cavities(plan, state, leaving);
  ++state.step;
}

}  // namespace model
