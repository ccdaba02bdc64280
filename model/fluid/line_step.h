// The hot step of a line (model/fluid/line.h), written over a number type: its equations stand there.
//
// Layout   rings of rows [step][segment]; memories [term][station], so that a compiler takes several stations at once
//          without reordering any sum. kCount > 0 fixes the number of stations at compile time, 0 reads it from the plan.
//          A wave that the inlet (outlet) sends is written to the row from which its station will read it together with
//          its neighbours', so that all stations read one row: offsets inlet_delay - middle_delay and so on.
// Errors   none; a not-a-number runs through to the ends, where the row looks for it
// Checked  tests/model/line_test.cc
#pragma once

#include "model/fluid/line.h"
#include "model/number.h"

namespace model {

inline std::size_t ring_row(std::size_t step, int offset, std::size_t mask) {
  return (step + static_cast<std::size_t>(static_cast<std::ptrdiff_t>(offset))) & mask;
}

template <class Real>
inline LineWaves<Real> arrivals_at(const LinePlan<Real>& plan, const LineState<Real>& state) {
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  return {.at_inlet_pa = state.upstream_pa[ring_row(state.step, -plan.inlet_delay, plan.row_mask) * plan.stride],
          .at_outlet_pa =
              state.downstream_pa[ring_row(state.step, -plan.outlet_delay, plan.row_mask) * plan.stride + last]};
}

template <int kCount, class Real>
inline void pass_stations(const LinePlan<Real>& plan, LineState<Real>& state) {
  const int count = kCount > 0 ? kCount : plan.stations;
  const std::size_t from = ring_row(state.step, -plan.middle_delay, plan.row_mask) * plan.stride;
  const std::size_t to = (state.step & plan.row_mask) * plan.stride;
  const Real* __restrict f_in = state.downstream_pa.data() + from;
  const Real* __restrict g_in = state.upstream_pa.data() + from + 1;
  Real* __restrict f_out = state.downstream_pa.data() + to + 1;
  Real* __restrict g_out = state.upstream_pa.data() + to;
  Real* __restrict sum = state.memory_sum_pa.data();
  Real* __restrict flow = state.flow_m3ps.data();
  Real* __restrict change = state.flow_change_m3ps.data();
  Real* __restrict cavity = state.cavity_m3.data();
  const Real* __restrict inverse = plan.inverse_m3pspa.data();
  const Real* __restrict memory = plan.memory_paspm3.data();
  const Real* __restrict weight = plan.weight_ratio.data();
  const Real twice_z_paspm3 = Real(2.0) * plan.impedance_paspm3;
  const Real twice_vapour_pa = plan.twice_vapour_pa;
  const Real dt_over_z_m3ppa = plan.step_over_impedance_m3ppa;
  const Real half_per_step_ps = plan.half_per_step_ps;
  for (int j = 0; j < count; ++j) {
    const Real f_pa = f_in[j];
    const Real g_pa = g_in[j];
    const Real before_m3ps = flow[j];
    const Real q_m3ps = (f_pa - g_pa - weight[j] * sum[j] + memory[j] * before_m3ps) * inverse[j];
    const Real old_m3 = cavity[j];
    const Real new_m3 = max_of(old_m3 + dt_over_z_m3ppa * (twice_vapour_pa - (f_pa + g_pa)), Real(0.0));
    const Real growth_m3ps = (new_m3 - old_m3) * half_per_step_ps;
    cavity[j] = new_m3;
    flow[j] = q_m3ps;
    change[j] = q_m3ps - before_m3ps;
    f_out[j] = g_pa + twice_z_paspm3 * (q_m3ps + growth_m3ps);
    g_out[j] = f_pa - twice_z_paspm3 * (q_m3ps - growth_m3ps);
    sum[j] = Real(0.0);
  }
  Real* __restrict z = state.memory_pa.data();
  for (int k = 0; k < plan.terms; ++k) {
    const Real decay_ratio = plan.decay_ratio[static_cast<std::size_t>(k)];
    const Real gain_paspm3 = plan.gain_paspm3[static_cast<std::size_t>(k)];
    for (int j = 0; j < count; ++j) {
      const Real kept_pa = decay_ratio * z[j] + gain_paspm3 * change[j];
      z[j] = kept_pa;
      sum[j] += kept_pa;
    }
    z += count;
  }
}

template <class Real>
inline void depart_from(const LinePlan<Real>& plan, LineState<Real>& state, const LineWaves<Real>& leaving) {
  switch (plan.stations) {
    case 4: pass_stations<4>(plan, state); break;
    case 8: pass_stations<8>(plan, state); break;
    case 12: pass_stations<12>(plan, state); break;
    case 16: pass_stations<16>(plan, state); break;
    default: pass_stations<0>(plan, state); break;
  }
  const int inlet_offset = plan.stations > 0 ? plan.inlet_delay - plan.middle_delay : 0;
  const int outlet_offset = plan.stations > 0 ? plan.outlet_delay - plan.middle_delay : 0;
  const std::size_t last = static_cast<std::size_t>(plan.stations);
  state.downstream_pa[ring_row(state.step, inlet_offset, plan.row_mask) * plan.stride] = leaving.at_inlet_pa;
  state.upstream_pa[ring_row(state.step, outlet_offset, plan.row_mask) * plan.stride + last] = leaving.at_outlet_pa;
  ++state.step;
}

}  // namespace model
