// Gas that sits at the end of the column, upstream of the outlet orifice.
//
//   U = void + V, dU/dt = Q - q,  q = (F - p)/Z out of the line, Q >= 0 out of the orifice
//   U < V0     no void: V = U, p = c/V + p_vap > 0 pushes a jet Q through the orifice
//   U >= V0    V = V0 = c/(-p_vap), the gas at zero gauge: what U has beyond V0 is a void that air
//              fills through the orifice, p = 0, Q = 0. So the void of column.h stays, behind gas
//   V' = pocket(U - dt (F - p_vap)/Z + dt Q, dt c/Z) (gas_pocket.h); the orifice sees the pocket as
//   p' - s (Q - Q') with s = 1/(1/Z + V^2/(dt c)), computed anew four times, first with Q = 0
//   Volume is conserved whatever Q is: q dt = Q dt + U - U'.
//
// In       F in Pa, volumes m3        Out   ColumnEnd; V through `pocket_m3`
// Errors   none        State   void and pocket, the caller's
// Valid    the gas never leaves with the jet; isothermal; a jet of the step in which the void fills
//          takes that step's mean pressure, where column.h splits the step
// Source   own; conservation of volume; pocket: Wylie, Streeter 1993, ch. 8
// Checked  tests/model/fluid/outlet_pocket_test.cc
#pragma once

#include "model/fluid/column.h"
#include "model/fluid/gas_pocket.h"

namespace model {

template <class Real>
struct OutletPocket {
  bool gas = false;
  Real pam3{};       // c
  Real vapour_pa{};  // gauge
  Real still_m3{};   // V0
};

inline OutletPocket<double> make_outlet_pocket(double gas_pam3, double vapour_pa) {
  if (gas_pam3 <= 0.0) return {};
  return {.gas = true, .pam3 = gas_pam3, .vapour_pa = vapour_pa, .still_m3 = -gas_pam3 / vapour_pa};
}

template <class Real>
inline ColumnEnd<Real> pass_outlet_pocket(const OutletPlan<Real>& outlet,
                                          const OutletStep<Real>& step,
                                          const OutletPocket<Real>& pocket, Real arriving_pa,
                                          Real void_m3, Real& pocket_m3) {
  constexpr int kPasses = 4;
  const Real before_m3 = void_m3 + pocket_m3;
  const Real free_m3 = arriving_pa * step.step_over_impedance_m3ppa;
  // Volume beyond that of the gas at zero gauge, if nothing leaves; negative: the gas is squeezed.
  const Real open_m3 = void_m3 + (pocket_m3 - pocket.still_m3) - free_m3;
  const auto stays = open_m3 >= Real(0.0);
  const Real most_m3ps = max_of(-open_m3, Real(0.0)) * step.per_step_ps;  // this flow leaves p = 0
  const Real gas_m6 = step.step_over_impedance_m3ppa * pocket.pam3;
  const Real base_m3 =
      before_m3 - step.step_over_impedance_m3ppa * (arriving_pa - pocket.vapour_pa);
  Real jet_m3ps{};
  Real after_m3 = pocket_volume_m3(base_m3, gas_m6);
  for (int pass = 0; pass < kPasses; ++pass) {
    const Real pressure_pa = pocket.pam3 / after_m3 + pocket.vapour_pa;
    const Real slope_paspm3 = Real(1.0) / (Real(1.0) / step.impedance_paspm3 +
                                           after_m3 * after_m3 * step.per_step_ps / pocket.pam3);
    jet_m3ps = outlet_flow_m3ps(outlet, max_of(pressure_pa + slope_paspm3 * jet_m3ps, Real(0.0)),
                                slope_paspm3);
    jet_m3ps = min_of(jet_m3ps, most_m3ps);
    after_m3 = pocket_volume_m3(base_m3 + step.step_s * jet_m3ps, gas_m6);
  }
  jet_m3ps = select(stays, Real(0.0), jet_m3ps);
  pocket_m3 = select(stays, pocket.still_m3, min_of(after_m3, pocket.still_m3));
  const Real void_after_m3 = select(stays, open_m3, Real(0.0));
  const Real jet_m3 = jet_m3ps * step.step_s;
  return {.flow_m3ps = (jet_m3 + before_m3 - (pocket_m3 + void_after_m3)) * step.per_step_ps,
          .jet_m3 = jet_m3,
          .jet_flow_m3ps = jet_m3ps,
          .void_m3 = void_after_m3};
}

}  // namespace model
