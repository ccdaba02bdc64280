// A solenoid with its flux linkage as state over one step, fast form: the linkage moves by the
// bridge's voltage.
//
//   dy/dt = u - R (i + e dy/dt),  e = 1/re,  i = i(y, x) (reluctance.h or flux_table.h)
//   One linearly implicit midpoint step at the lift of mid-step: second order, and stable however
//   steep the iron makes i(y).
//   Diodes: while nothing drives, the winding's current ends at zero and stays there; the voltage
//   then is what the plunger's motion induces. Drive holds an ideal limit, as in coil.h.
//   At a bound the step solves for the current at its end; with eddy currents, which are not bound,
//   for its mean.
//
// In       RowStepInput, lift at mid-step      Out   winding's current at the end, mean force
// State    the linkage and the current, the caller's       Errors  none
// Source   circuit laws; linearly implicit midpoint rule (Rosenbrock, one stage)
// Checked  tests/model/valve/actuator_test.cc
#pragma once

#include "model/valve/coil.h"
#include "model/valve/flux_table.h"
#include "model/valve/reluctance.h"

namespace model {

template <class Real>
struct ActuatorPlan {
  ReluctancePlan<Real> iron;  // with the table: its eddy currents alone
  FluxTablePlan table;
  Real step_s{};
  Real resistance_ohm{};
  BridgeEndsOf<Real> ends{};
  bool by_linkage = false;  // false: the linear law of coil.h is used
  bool by_table = false;
};

template <class Real>
struct ActuatorMove {
  Real linkage_vs{};
  Real current_a{};
  Real force_n{};  // mean of the step
};

inline ActuatorPlan<double> make_actuator_plan(const Coil& coil, double step_s) {
  if (coil.force_law == ForceLaw::kLinear) return {};
  const bool by_table = coil.force_law == ForceLaw::kTable;
  return {.iron = make_reluctance_plan(coil),
          .table = by_table ? make_flux_table_plan(coil.table) : FluxTablePlan{},
          .step_s = step_s,
          .resistance_ohm = coil.resistance_ohm,
          .ends = bridge_ends(coil),
          .by_linkage = true,
          .by_table = by_table};
}

/// Linkage that pulls (by a table: all of it), current and slope for a whole linkage.
template <class Real>
inline GapLinkage<Real> pulling_linkage(const ActuatorPlan<Real>& plan, Real linkage_vs,
                                        Real lift_m) {
  if (!plan.by_table) return gap_linkage(plan.iron, linkage_vs, lift_m);
  const FluxPoint<Real> at = flux_of_linkage(plan.table, linkage_vs, lift_m);
  return {.linkage_vs = linkage_vs,
          .current_a = at.current_a,
          .slope_a_pvs = at.slope_a_pvs,
          .share = Real(1.0)};
}

template <class Real>
inline Real pull_n(const ActuatorPlan<Real>& plan, Real pulling_vs, Real lift_m) {
  return plan.by_table ? flux_of_linkage(plan.table, pulling_vs, lift_m).force_n
                       : gap_force_n(plan.iron, pulling_vs);
}

/// voltage_v: the mean of the step.
template <class Real>
inline ActuatorMove<Real> move_actuator_under(const ActuatorPlan<Real>& plan,
                                              const GapLinkage<Real>& gap, Real linkage_vs,
                                              Real current_a, Real lift_m, Real voltage_v,
                                              const RowStepInputOf<Real>& in) {
  const Real eddied = Real(1.0) + plan.resistance_ohm * plan.iron.eddy_siemens;    // tidy: a ratio
  const Real slowed = Real(1.0) + Real(0.5) * plan.step_s * plan.resistance_ohm *  // tidy: a ratio
                                      gap.slope_a_pvs / eddied;
  const auto moved_vs = [&](Real mean_v) {
    return plan.step_s * (mean_v - plan.resistance_ohm * gap.current_a) / (eddied * slowed);
  };
  const Real per_step = plan.iron.eddy_siemens / plan.step_s;  // tidy: unit is A/(V s)
  const Real bound_share = select(plan.iron.eddy_siemens > Real(0.0), Real(0.5), Real(1.0));
  const Real bound_slope = bound_share * gap.slope_a_pvs + per_step;
  const auto to_current_vs = [&](Real wanted_a) {
    return (wanted_a - gap.current_a) / bound_slope;
  };
  Real change_vs = moved_vs(voltage_v);
  Real end_a = gap.current_a + (gap.slope_a_pvs + per_step) * change_vs;
  const auto bind = [&](auto past, Real bound_vs, Real bound_a) {
    change_vs = select(past, bound_vs, change_vs);
    end_a = select(past, bound_a, end_a);
  };
  const auto driven = in.drive_ratio > Real(0.0);
  const auto limited = driven & (in.current_limit_a > Real(0.0));
  if (any(limited)) {
    const Real limit_vs = to_current_vs(in.current_limit_a);
    const Real slow_vs = moved_vs(-plan.ends.diode_v);
    const auto above = slow_vs > limit_vs;  // a lower limit is reached by freewheeling
    const Real slow_a = gap.current_a + (gap.slope_a_pvs + per_step) * slow_vs;
    bind(limited & (change_vs > max_of(limit_vs, slow_vs)), max_of(limit_vs, slow_vs),
         select(above, slow_a, in.current_limit_a));
  }
  const auto diodes = in.reverse_ratio == Real(0.0);
  const auto idle = !driven;
  const auto negative = current_a < Real(0.0);
  const auto not_negative = !negative;
  const Real zero_vs = to_current_vs(Real(0.0));
  bind(diodes & idle & negative & (change_vs > zero_vs), zero_vs, Real(0.0));
  bind(diodes & not_negative & (change_vs < zero_vs), zero_vs, Real(0.0));
  const Real gap_middle_vs = gap.linkage_vs + Real(0.5) * gap.share * change_vs;
  return {.linkage_vs = linkage_vs + change_vs,
          .current_a = end_a,
          .force_n = pull_n(plan, gap_middle_vs, lift_m)};
}

template <class Real>
inline ActuatorMove<Real> move_actuator(const ActuatorPlan<Real>& plan, Real linkage_vs,
                                        Real current_a, Real lift_m,
                                        const RowStepInputOf<Real>& in) {
  return move_actuator_under(plan, pulling_linkage(plan, linkage_vs, lift_m), linkage_vs, current_a,
                             lift_m, bridge_voltage_v(current_a, in, plan.ends), in);
}

}  // namespace model
