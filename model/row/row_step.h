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

}  // namespace model
