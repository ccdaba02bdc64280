// The outlet end of the column: a jet, or a void that grows when the column retreats.
//
//   void = 0, F > 0   jet: p = F - Z Q against the orifice, Q >= 0
//   F <= 0            p = 0 gauge, q = F/Z <= 0: the column retreats, the void grows by -q dt
//   void > 0, F > 0   p = 0 gauge, q = F/Z refills the void. If the void is full within the step,
//                     the share void/(q dt) of the step refills it and the rest jets:
//                     q dt = void + jet exactly
//   without voids     the outlet acts both ways and liquid may be drawn back (jet < 0): for checks
//                     against ideal ends only
//   An outlet that opens into another pressure than the atmosphere sees F less that pressure.
//
// In       F in Pa      Out   flow, jet: means of the step; void at its end, >= 0
// State    void_m3, the caller's       Errors  none
// Valid    air enters without a pressure drop; surface tension at the rim is left out
// Source   own; conservation of volume
// Checked  tests/model/fluid/column_test.cc
#pragma once

#include "model/fluid/orifice.h"

namespace model {

template <class Real>
struct ColumnEnd {
  Real flow_m3ps{};      // q out of the line, mean of the step
  Real jet_m3{};         // volume that left
  Real jet_flow_m3ps{};  // flow of the jet while it leaves
  Real void_m3{};        // at the end of the step
};

/// What the outlet needs to know of the line's step.
template <class Real>
struct OutletStep {
  Real impedance_paspm3{};
  Real step_over_impedance_m3ppa{};
  Real step_s{};
  Real per_step_ps{};
};

template <class Real>
inline ColumnEnd<Real> pass_column_end(const OutletPlan<Real>& outlet, const OutletStep<Real>& step,
                                       Real arriving_pa, Real void_m3, bool voids) {
  const Real driving_pa = arriving_pa - outlet.behind_pa;
  const Real size_pa = voids ? max_of(driving_pa, Real(0.0)) : abs_of(driving_pa);
  const Real open_m3ps = outlet_flow_m3ps(outlet, size_pa, step.impedance_paspm3);
  if (!voids) {
    const Real both_m3ps = select(driving_pa < Real(0.0), -open_m3ps, open_m3ps);
    return {.flow_m3ps = both_m3ps,
            .jet_m3 = both_m3ps * step.step_s,
            .jet_flow_m3ps = both_m3ps,
            .void_m3 = Real(0.0)};
  }
  const Real free_m3 =
      driving_pa * step.step_over_impedance_m3ppa;  // what the line would move against zero gauge
  const auto stays = void_m3 >= free_m3;            // still void at the end, or retreating
  const Real refill_ratio = select(stays, Real(1.0), void_m3 / select(stays, Real(1.0), free_m3));
  const Real jet_m3 = (Real(1.0) - refill_ratio) * open_m3ps * step.step_s;
  const Real moved_m3 = select(stays, free_m3, void_m3 + jet_m3);
  return {.flow_m3ps = moved_m3 * step.per_step_ps,
          .jet_m3 = jet_m3,
          .jet_flow_m3ps = select(stays, Real(0.0), open_m3ps),
          .void_m3 = select(stays, void_m3 - free_m3, Real(0.0))};
}

}  // namespace model
