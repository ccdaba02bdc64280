// One step of the whole row, written over a number type, in the order of model/row/row_unit.h.
//
//   [1] waves arrive at hose inlet, hose end, tube start, outlet
//   [2] the valve moves and its node is solved
//   [3] supply and outlet answer
//   [4] both lines pass their stations and go on
//
// All flows and pressures are means of the step: a volume is flow times step, and
//   inlet - jet = change of (elastic of both lines + creep - cavities - pockets - void)
// holds algebraically, whatever Q is: every node passes the same flow on or books the difference as
// a volume. The plunger takes from one line what it gives to the other.
// Errors   none here; model/row/row_unit.cc looks for faults
// Checked  tests/model/row/row_unit_test.cc
#pragma once

#include "model/fluid/column.h"
#include "model/fluid/line_step.h"
#include "model/fluid/outlet_pocket.h"
#include "model/row/row_unit.h"
#include "model/valve/valve.h"

namespace model {

template <class Real>
struct RowPlanOf {
  LinePlan<Real> hose;
  LinePlan<Real> tube;
  ValvePlan<Real> valve;
  OutletPlan<Real> outlet;
  OutletStep<Real> outlet_step;
  OutletPocket<Real> outlet_pocket;
  Real step_s{};
  Real lowest_pa{};  // a pressure below this is a fault
  bool outlet_void = true;
};

template <class Real>
struct RowStateOf {
  LineState<Real> hose;
  LineState<Real> tube;
  ValveState<Real> valve;
  Real void_m3{};
  Real outlet_pocket_m3{};
};

template <class Real>
struct RowFlows {
  NodeFlows<Real> node;
  ColumnEnd<Real> outlet;
  Real inlet_m3{};
  Real outlet_pa{};
};

/// `move_valve(f, g)` is the valve's fast or reference form.
template <class Real, class MoveValve>
inline RowFlows<Real> step_row(const RowPlanOf<Real>& plan, RowStateOf<Real>& state, Real supply_pa,
                               const MoveValve& move_valve) {
  const LineWaves<Real> hose_in = arrivals_at(plan.hose, state.hose);
  const LineWaves<Real> tube_in = arrivals_at(plan.tube, state.tube);
  RowFlows<Real> flows;
  flows.node = move_valve(hose_in.at_outlet_pa, tube_in.at_inlet_pa);
  // Supply: a pressure; F' = 2 p - G, q dt = (p - G) dt / Z. Waves carry p + rho g z.
  const Real inlet_pa = supply_pa + plan.hose.inlet_head_pa;
  const Real hose_leaves_pa = inlet_pa + inlet_pa - hose_in.at_inlet_pa;
  flows.inlet_m3 = (inlet_pa - hose_in.at_inlet_pa) * plan.hose.step_over_impedance_m3ppa;
  const Real arriving_pa = tube_in.at_outlet_pa - plan.tube.outlet_head_pa;
  if (plan.outlet_pocket.gas) [[unlikely]]
    flows.outlet = pass_outlet_pocket(plan.outlet, plan.outlet_step, plan.outlet_pocket,
                                      arriving_pa, state.void_m3, state.outlet_pocket_m3);
  else
    flows.outlet = pass_column_end(plan.outlet, plan.outlet_step, arriving_pa, state.void_m3,
                                   plan.outlet_void);
  state.void_m3 = flows.outlet.void_m3;
  const Real drop_pa = plan.tube.impedance_paspm3 * flows.outlet.flow_m3ps;
  flows.outlet_pa = arriving_pa - drop_pa;
  // A node passes on F' = G + 2 Z q or G' = F - 2 Z q, with its own q on each side.
  const Real hose_twice_paspm3 = plan.hose.impedance_paspm3 + plan.hose.impedance_paspm3;
  const Real tube_twice_paspm3 = plan.tube.impedance_paspm3 + plan.tube.impedance_paspm3;
  depart_from(plan.hose, state.hose,
              LineWaves<Real>{
                  .at_inlet_pa = hose_leaves_pa,
                  .at_outlet_pa = hose_in.at_outlet_pa - hose_twice_paspm3 * flows.node.hose_m3ps});
  depart_from(
      plan.tube, state.tube,
      LineWaves<Real>{.at_inlet_pa = tube_in.at_inlet_pa + tube_twice_paspm3 * flows.node.tube_m3ps,
                      .at_outlet_pa = tube_in.at_outlet_pa - drop_pa - drop_pa});
  return flows;
}

template <class Real>
inline RowStepOutputOf<Real> output_of(const RowPlanOf<Real>& plan, const RowStateOf<Real>& state,
                                       const RowFlows<Real>& flows) {
  return {.inlet_volume_m3 = flows.inlet_m3,
          .valve_volume_m3 = flows.node.seat_m3ps * plan.step_s,
          .jet_volume_m3 = flows.outlet.jet_m3,
          .jet_speed_mps = flows.outlet.jet_flow_m3ps * plan.outlet.inverse_jet_area_pm2,
          .current_a = state.valve.current_a,
          .lift_m = state.valve.plunger.lift_m,
          .valve_flow_m3ps = flows.node.seat_m3ps,
          .outlet_flow_m3ps = flows.outlet.jet_m3 * plan.outlet_step.per_step_ps,
          .hose_end_pressure_pa = flows.node.hose_pa,
          .valve_exit_pressure_pa = flows.node.tube_pa,
          .outlet_pressure_pa = flows.outlet_pa,
          .valve_cavity_m3 = flows.node.pockets.tube_m3,
          .outlet_void_m3 = state.void_m3,
          .linkage_vs = state.valve.linkage_vs};
}

/// Pressures, flows, current, lift and speed of a row stay far below this in any unit of theirs.
inline constexpr double kHighestSum_ratio = 1e30;

/// A number that is not finite if any of the step's is, for a quick look.
template <class Real>
inline Real sum_of_all(const RowFlows<Real>& flows, const RowStateOf<Real>& state) {
  return flows.node.hose_pa + flows.node.tube_pa + flows.node.seat_m3ps + flows.outlet_pa +
         flows.inlet_m3 + state.valve.current_a + state.valve.plunger.lift_m +
         state.valve.plunger.speed_mps;
}

template <class Real>
inline MaskOf<Real> negative_volume(const RowFlows<Real>& flows, const RowStateOf<Real>& state) {
  const Real zero(0.0);
  return (flows.node.pockets.hose_m3 < zero) | (flows.node.pockets.tube_m3 < zero) |
         (state.void_m3 < zero) | (state.outlet_pocket_m3 < zero) | (state.tube.pocket_m3 < zero);
}

template <class Real>
inline MaskOf<Real> below_vapour(const RowPlanOf<Real>& plan, const RowFlows<Real>& flows) {
  return (flows.node.hose_pa < plan.lowest_pa) | (flows.node.tube_pa < plan.lowest_pa);
}

/// What an output says that the model cannot be in; checked in the order of the enumeration.
inline RowFault fault_of(bool finite, bool negative, bool below) {
  if (!finite) return RowFault::kNotANumber;
  if (negative) return RowFault::kNegativeVolume;
  return below ? RowFault::kBelowVapour : RowFault::kNone;
}

}  // namespace model
