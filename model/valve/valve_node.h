// Where hose end, plunger and tube start meet: what both lines, the seat and any cavity agree on.
//
//   q_s = Q - A_s v leaves the hose side and enters the tube side (the plunger shifts A_s v back)
//   tube    V = pocket(V_old + dt ((p_vap - G)/Z_t - q_s), dt C/Z_t)
//           q_t = q_s + (V - V_old)/dt,  p_d = G + Z_t q_t
//   hose    U = max(0, U_old + dt (q_s - (F - p_vap)/Z_h))
//           q_h = q_s - (U - U_old)/dt,  p_u = F - Z_h q_h
//   seat    while U = V = 0: p_u - p_d = D - Zs Q with D = F - G + Zs A_s v, Zs = Z_h + Z_t:
//           one closed form, no iteration; Q holds the leak of a worn pair too
//   With a pocket, that side answers with slope 1/(1/Z + V^2/(dt C)) (vapour: 0, closed: Z) instead
//   of Z; D and Zs are computed anew from the last pass, three times (rare: open seat on a pocket).
// Volume is conserved whatever Q is: V and U take up the difference of the flows.
//
// In       waves F, G that arrive (Pa), lift and plunger speed, means of the step
// Out      flows, pressures, pockets       Errors  none
// Valid    cavities off: their pressure is -1e300 and no branch is needed
// Source   waves of model/fluid/line.h; linearised pocket, own
// Checked  tests/model/valve/valve_node_test.cc
#pragma once

#include "model/fluid/gas_pocket.h"
#include "model/fluid/orifice.h"

namespace model {

template <class Real>
struct NodePlan {
  Real hose_paspm3{};
  Real tube_paspm3{};
  Real sum_paspm3{};
  Real step_over_hose_m3ppa{};
  Real step_over_tube_m3ppa{};
  Real step_s{};
  Real per_step_ps{};
  Real hose_vapour_pa{};  // gauge; -1e300 where cavities are off
  Real tube_vapour_pa{};
  Real gas_pam3{};  // C; 0: none
  bool gas = false;
};

template <class Real>
struct Pockets {
  Real hose_m3{};
  Real tube_m3{};
};

template <class Real>
struct NodeFlows {
  Real seat_m3ps{};  // Q
  Real hose_m3ps{};
  Real tube_m3ps{};
  Real hose_pa{};  // p_u
  Real tube_pa{};  // p_d
  Pockets<Real> pockets;
};

template <class Real>
struct SeatView {
  Real drop_pa{};      // D
  Real line_paspm3{};  // Zs
};

/// Both sides for a given flow through the seat.
template <class Real>
inline NodeFlows<Real> close_node(const NodePlan<Real>& plan, Real f_pa, Real g_pa, Real seat_m3ps,
                                  Real swept_m3ps, const Pockets<Real>& before) {
  NodeFlows<Real> node;
  const Real through_m3ps = seat_m3ps - swept_m3ps;
  const Real tube_free_m3 = before.tube_m3 +
                            plan.step_over_tube_m3ppa * (plan.tube_vapour_pa - g_pa) -
                            plan.step_s * through_m3ps;
  const Real hose_free_m3 = before.hose_m3 +
                            plan.step_over_hose_m3ppa * (plan.hose_vapour_pa - f_pa) +
                            plan.step_s * through_m3ps;
  node.pockets.hose_m3 = max_of(hose_free_m3, Real(0.0));
  node.pockets.tube_m3 =
      plan.gas ? pocket_volume_m3(tube_free_m3, plan.step_over_tube_m3ppa * plan.gas_pam3)
               : max_of(tube_free_m3, Real(0.0));
  node.seat_m3ps = seat_m3ps;
  node.hose_m3ps = through_m3ps - (node.pockets.hose_m3 - before.hose_m3) * plan.per_step_ps;
  node.tube_m3ps = through_m3ps + (node.pockets.tube_m3 - before.tube_m3) * plan.per_step_ps;
  node.hose_pa = f_pa - plan.hose_paspm3 * node.hose_m3ps;
  node.tube_pa = g_pa + plan.tube_paspm3 * node.tube_m3ps;
  return node;
}

/// What the seat sees of both sides, linear around the flow of `node`.
template <class Real>
inline SeatView<Real> look_from_seat(const NodePlan<Real>& plan, const NodeFlows<Real>& node) {
  const Real hose_paspm3 = select(node.pockets.hose_m3 > Real(0.0), Real(0.0), plan.hose_paspm3);
  const Real v_m3 = node.pockets.tube_m3;
  const Real with_gas_paspm3 =
      Real(1.0) / (Real(1.0) / plan.tube_paspm3 +
                   v_m3 * v_m3 * plan.per_step_ps /
                       select(plan.gas_pam3 > Real(0.0), plan.gas_pam3, Real(1.0)));
  const Real vapour_paspm3 = select(v_m3 > Real(0.0), Real(0.0), plan.tube_paspm3);
  const Real tube_paspm3 = plan.gas ? with_gas_paspm3 : vapour_paspm3;
  const Real line_paspm3 = hose_paspm3 + tube_paspm3;
  return {.drop_pa = node.hose_pa - node.tube_pa + line_paspm3 * node.seat_m3ps,
          .line_paspm3 = line_paspm3};
}

/// The node of one step. `view` returns what the seat saw at the end, for the reference form of the
/// valve.
template <class Real>
inline NodeFlows<Real> solve_node(const NodePlan<Real>& plan, const SeatPlan<Real>& seat, Real f_pa,
                                  Real g_pa, Real lift_m, Real speed_mps,
                                  const Pockets<Real>& before, SeatView<Real>& view) {
  const Real swept_m3ps = seat.area_m2 * speed_mps;
  view = {.drop_pa = f_pa - g_pa + plan.sum_paspm3 * swept_m3ps, .line_paspm3 = plan.sum_paspm3};
  NodeFlows<Real> node =
      close_node(plan, f_pa, g_pa, valve_flow_m3ps(seat, lift_m, view.drop_pa, view.line_paspm3),
                 swept_m3ps, before);
  const auto pocket =
      ((lift_m > Real(0.0)) | (seat.leak_m3pspa > Real(0.0))) &
      (node.pockets.tube_m3 + node.pockets.hose_m3 + before.tube_m3 + before.hose_m3 > Real(0.0));
  if (any(pocket)) [[unlikely]] {
    for (int pass = 0; pass < 3; ++pass) {
      const SeatView<Real> next = look_from_seat(plan, node);
      view = {.drop_pa = select(pocket, next.drop_pa, view.drop_pa),
              .line_paspm3 = select(pocket, next.line_paspm3, view.line_paspm3)};
      node = close_node(plan, f_pa, g_pa,
                        valve_flow_m3ps(seat, lift_m, view.drop_pa, view.line_paspm3), swept_m3ps,
                        before);
    }
  }
  return node;
}

}  // namespace model
