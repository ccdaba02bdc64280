// Transition and turbulence along a line (model/fluid/line.h): the rare part of its step, for the
// stations whose flow has passed Re = 1000.
//
//   extra drop of a cell   rho nu^2 l/(2 D^3) (f - 64/Re) Re^2, with the sign of the flow: added to
//                          what the next step loses
//   memory                 z <- z/(1 + x + x^2/2), x = dtau w/C*: e^-x within x^3/6, x about 1e-3
//
// In       LinePlan, state after its stations       Errors  none        State   the caller's
// Valid    a front that jumps from below Re 800 to turbulence is felt up to 7 steps late; the
//          extra drop lags by one step: an error of first order (0.1 % of the step's share at
//          10 us); short times of the memory keep the laminar kernel, whose leading term
//          1/(2 sqrt(pi tau)) is Vardy and Brown's A*
// Source   friction_factor.h
// Checked  tests/published/turbulence_test.cc
#pragma once

#include "model/fluid/friction_factor.h"
#include "model/fluid/line.h"
#include "model/number.h"

namespace model {

void add_turbulence(const Line& line, const Liquid& liquid, LinePlan<double>& plan);
/// Extra drop of one cell in steady flow, signed; 0 where the plan has no turbulence.
double turbulent_drop_pa(const LinePlan<double>& plan, double flow_m3ps);
/// The same for a whole line.
double turbulent_drop_pa(const Line& line, const Liquid& liquid, double flow_m3ps);
/// Number of steps between two searches of a line for stations near turbulence.
inline constexpr std::size_t kStirLook_steps = 8;

/// Looks whether the flow of some station has passed Re = 800: from then on all stations are
/// stirred in every step, so that a front has 8 steps to get from 800 to 1000.
template <class Real>
inline void look_for_stir(const LinePlan<Real>& plan, LineState<Real>& state) {
  MaskOf<Real> fast{};
  for (const Real& flow_m3ps : state.flow_m3ps)
    fast = fast | (flow_m3ps * flow_m3ps > plan.stirred_m6ps2);
  state.stirring = fast;
}

template <class Real>
[[gnu::noinline]] void stir_line(const LinePlan<Real>& plan, LineState<Real>& state) {
  const auto stations = static_cast<std::size_t>(plan.stations);
  const auto terms = static_cast<std::size_t>(plan.terms);
  for (std::size_t j = 0; j < stations; ++j) {
    const Real flow_m3ps = state.flow_m3ps[j];
    const Real reynolds_ratio = plan.reynolds_spm3 * abs_of(flow_m3ps);
    const auto stirs = state.stirring & (reynolds_ratio > Real(kLaminarReynolds_ratio));
    if (!any(stirs)) continue;
    const TurbulenceOf<Real> turbulence = turbulence_at(reynolds_ratio);
    const Real x_ratio = plan.dtau_ratio * turbulence.loss_ratio;
    const Real kept_ratio = Real(1.0) / (Real(1.0) + x_ratio * (Real(1.0) + Real(0.5) * x_ratio));
    for (std::size_t k = 0; k < terms; ++k) {
      Real& memory_pa = state.memory_pa[k * stations + j];
      memory_pa = select(stirs, memory_pa * kept_ratio, memory_pa);
    }
    const Real stirred_pa = state.memory_sum_pa[j] * kept_ratio +
                            signed_like(plan.stir_pa * turbulence.extra_ratio, flow_m3ps);
    state.memory_sum_pa[j] = select(stirs, stirred_pa, state.memory_sum_pa[j]);
  }
}

}  // namespace model
