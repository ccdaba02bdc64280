// The pulse valve over one step: coil, plunger and the node between both lines, fast form.
//
//   The waves that arrive are known first, so the seat is solved in closed form at mid-step; the
//   coil is exact; the plunger flies under the force taken there (midpoint rule, second order).
//   After an impact the node is solved again with the lift and shift that really happened.
//   The reference form (valve_reference.h) integrates the same equations inside the step by Odeint.
//
// In       RowStepInput, waves F (hose end) and G (tube start)      Out   node flows
// State    ValveState, the caller's; moves by one step              Errors  none
// Source   own; parts as their headers say
// Checked  tests/model/valve/valve_test.cc
#pragma once

#include "model/valve/actuator.h"
#include "model/valve/chopper.h"
#include "model/valve/coil.h"
#include "model/valve/plunger.h"
#include "model/valve/valve_node.h"

namespace model {

template <class Real>
struct ValvePlan {
  CoilPlan<Real> coil;
  ActuatorPlan<Real> actuator;
  PlungerPlan<Real> plunger;
  SeatPlan<Real> seat;
  NodePlan<Real> node;
};

template <class Real>
struct ValveState {
  Real current_a{};
  Real linkage_vs{};  // of a solenoid with the linkage as state
  ChopperState<Real> chopper;
  PlungerState<Real> plunger;
  Pockets<Real> pockets;
};

/// Current, linkage and pull by either law; a chopper turns the limit into a share of the step.
template <class Real>
inline ActuatorMove<Real> move_coil(const ValvePlan<Real>& plan, ValveState<Real>& state,
                                    const PlungerMiddle<Real>& middle,
                                    const RowStepInputOf<Real>& in) {
  const auto chops = (plan.coil.ends.chop_s > Real(0.0)) & (in.current_limit_a > Real(0.0));
  RowStepInputOf<Real> unlimited = in;
  unlimited.current_limit_a = select(chops, Real(0.0), in.current_limit_a);
  Real voltage_v = bridge_voltage_v(state.current_a, unlimited, plan.coil.ends);
  const auto chop = [&](Real path_a, const auto& path) {
    if (!any(chops)) return;
    ChopperState<Real> clock = state.chopper;
    const Real chopped_v = chopped_voltage_v(plan.coil.ends, plan.plunger.step_s, clock,
                                             state.current_a, path_a, in, path);
    voltage_v = select(chops, chopped_v, voltage_v);
    state.chopper = {.since_s = select(chops, clock.since_s, state.chopper.since_s),
                     .off_ratio = select(chops, clock.off_ratio, state.chopper.off_ratio),
                     .runs_ratio = select(chops, clock.runs_ratio, state.chopper.runs_ratio)};
  };
  if (plan.actuator.by_linkage) {
    const GapLinkage<Real> gap = pulling_linkage(plan.actuator, state.linkage_vs, middle.lift_m);
    chop(gap.current_a, LinkagePath<Real>{plan.actuator, gap});
    return move_actuator_under(plan.actuator, gap, state.linkage_vs, state.current_a, middle.lift_m,
                               voltage_v, unlimited);
  }
  chop(state.current_a,
       CurrentPath<Real>{plan.coil, plan.coil.force_constant_npa * middle.speed_mps});
  const Real after_a =
      coil_current_under_a(plan.coil, state.current_a, middle.speed_mps, voltage_v, unlimited);
  return {.linkage_vs = Real(0.0),
          .current_a = after_a,
          .force_n = plan.coil.force_constant_npa * (Real(0.5) * (state.current_a + after_a))};
}

template <class Real>
inline NodeFlows<Real> step_valve(const ValvePlan<Real>& plan, ValveState<Real>& state, Real f_pa,
                                  Real g_pa, const RowStepInputOf<Real>& in) {
  const PlungerMiddle<Real> middle = plunger_middle(plan.plunger, state.plunger);
  SeatView<Real> view;
  NodeFlows<Real> node = solve_node(plan.node, plan.seat, f_pa, g_pa, middle.lift_m,
                                    middle.speed_mps, state.pockets, view);
  const ActuatorMove<Real> pull = move_coil(plan, state, middle, in);
  const Real force_n = pull.force_n - plan.plunger.preload_n -
                       plan.plunger.spring_npm * middle.lift_m -
                       seat_force_n(plan.seat, middle.lift_m, node.hose_pa - node.tube_pa);
  const PlungerMove<Real> move = move_plunger(plan.plunger, state.plunger, force_n, middle);
  if (any(move.hit)) [[unlikely]] {
    const Real moved_mps = (move.after.lift_m - state.plunger.lift_m) / plan.plunger.step_s;
    const Real speed_mps = select(move.hit, moved_mps, middle.speed_mps);
    node = solve_node(plan.node, plan.seat, f_pa, g_pa, move.mean_lift_m, speed_mps, state.pockets,
                      view);
  }
  state.current_a = pull.current_a;
  state.linkage_vs = pull.linkage_vs;
  state.plunger = move.after;
  state.pockets = node.pockets;
  return node;
}

}  // namespace model
