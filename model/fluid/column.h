// The outlet end of the column: a jet, or a void that grows when the column retreats and must be refilled first.
//
//   void = 0, F > 0   jet: p = F - Z Q against the orifice, Q >= 0
//   F <= 0            p = 0 gauge, q = F / Z <= 0: the column retreats, void grows by -q dt, nothing leaves
//   void > 0, F > 0   p = 0, q = F / Z refills; where the void is full within the step, the share void / (q dt) of the step
//                     refills and the rest jets, so q dt = void + jet exactly
//   without voids     the orifice acts both ways and the column may draw liquid back (jet < 0): for ideal checks only
//
// In       F in Pa     Out   flow, jet, void: means of the step, void at its end >= 0     State   void_m3, the caller's
// Errors   none        Valid   air enters without drop; its own inertia and surface tension are left out
// Source   own; conservation of volume     Checked  tests/model/column_test.cc
#pragma once

#include "model/fluid/orifice.h"

namespace model {

template <class Real>
struct ColumnEnd {
  Real flow_m3ps{};    // q out of the line, mean of the step
  Real jet_m3{};       // volume that left
  Real jet_flow_m3ps{};  // of what left, while it left
  Real void_m3{};      // at the end of the step
};

template <class Real>
inline ColumnEnd<Real> pass_column_end(const OutletPlan<Real>& outlet, Real impedance_paspm3, Real arriving_pa,
                                       Real void_m3, double step_s, bool voids) {
  const Real dt_s = Real(step_s);
  const Real size_pa = voids ? max_of(arriving_pa, Real(0.0)) : abs_of(arriving_pa);
  const Real open_m3ps = outlet_flow_m3ps(outlet, size_pa, impedance_paspm3);
  if (!voids) {
    const Real both_m3ps = select(arriving_pa < Real(0.0), -open_m3ps, open_m3ps);
    return {.flow_m3ps = both_m3ps, .jet_m3 = both_m3ps * dt_s, .jet_flow_m3ps = both_m3ps, .void_m3 = Real(0.0)};
  }
  const Real free_m3 = arriving_pa * (dt_s / impedance_paspm3);  // what the line would move against zero gauge
  const auto stays = void_m3 >= free_m3;                         // still void at the end, or retreating
  const Real refill_ratio = select(stays, Real(1.0), void_m3 / select(stays, Real(1.0), free_m3));
  const Real jet_m3 = (Real(1.0) - refill_ratio) * open_m3ps * dt_s;
  const Real moved_m3 = select(stays, free_m3, void_m3 + jet_m3);
  return {.flow_m3ps = moved_m3 / dt_s,
          .jet_m3 = jet_m3,
          .jet_flow_m3ps = select(stays, Real(0.0), open_m3ps),
          .void_m3 = select(stays, void_m3 - free_m3, Real(0.0))};
}

}  // namespace model
