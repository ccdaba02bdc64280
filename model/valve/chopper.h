// The clock of a current limit: peak current control at a fixed frequency, as drivers do it.
//
//   At every edge of the clock the switch turns on; once the current reaches the limit it turns off
//   and the current freewheels (slow decay) until the next edge. The command starts the clock. The
//   current ripples below the limit; without slope compensation the ripple of a duty above one half
//   alternates from period to period, as it does in such a driver.
//
//   Fast form: the instants inside a step are closed form, on either path a stretch at constant
//   voltage; their sum is the switch's share of the step, and the coil then moves under the mean
//   voltage. A period holds two steps or more, so a step holds one edge at most.
//   With eddy currents the winding's current jumps with the switch: (i + e u)/(1 + R e). It is what
//   the driver compares, so the limit of i is (1 + R e) limit - e u.
//
// In       current at the step's start, RowStepInput     Out   mean voltage of the step
// State    ChopperState, the caller's       Errors  none
// Source   peak current control of switched supplies, from memory
// Checked  tests/model/valve/chopper_test.cc
#pragma once

#include "model/number.h"
#include "model/reproducible_math.h"
#include "model/valve/actuator.h"
#include "model/valve/coil.h"

namespace model {

template <class Real>
struct ChopperState {
  Real since_s{};     // since the last edge of the clock
  Real off_ratio{};   // 1: the limit was reached, and the switch is off until the next edge
  Real runs_ratio{};  // 1: the command is on
};

/// A current under a constant voltage by the linear law.
template <class Real>
struct CurrentPath {
  const CoilPlan<Real>& coil;
  Real back_v{};

  Real end_a(Real voltage_v) const { return (voltage_v - back_v) * coil.inverse_resistance_a_pv; }
  Real after_a(Real current_a, Real voltage_v, Real span_s) const {
    return current_a + (current_a - end_a(voltage_v)) * expm1_of(-span_s / coil.time_s);
  }
  /// Negative or not-a-number where the limit is not ahead.
  Real reach_s(Real current_a, Real voltage_v, Real limit_a) const {
    return -coil.time_s * log1p_of((current_a - limit_a) / (end_a(voltage_v) - current_a));
  }
  Real limit_a(Real, Real winding_a) const { return winding_a; }
};

/// The current of the field, linear in the linkage, by the laws with the linkage as state.
template <class Real>
struct LinkagePath {
  const ActuatorPlan<Real>& plan;
  const GapLinkage<Real>& gap;

  Real eddied() const {  // tidy: a ratio
    return Real(1.0) + plan.resistance_ohm * plan.iron.eddy_siemens;
  }
  Real after_a(Real current_a, Real voltage_v, Real span_s) const {
    const Real per_s = gap.slope_a_pvs / eddied();  // tidy: unit is A/(V s)
    return current_a + span_s * per_s * (voltage_v - plan.resistance_ohm * current_a) /
                           (Real(1.0) + Real(0.5) * span_s * plan.resistance_ohm * per_s);
  }
  Real reach_s(Real current_a, Real voltage_v, Real limit_a) const {
    const Real mean_v = voltage_v - plan.resistance_ohm * (Real(0.5) * (current_a + limit_a));
    return (limit_a - current_a) * eddied() / (gap.slope_a_pvs * mean_v);
  }
  Real limit_a(Real voltage_v, Real winding_a) const {
    return winding_a * eddied() - plan.iron.eddy_siemens * voltage_v;
  }
};

/// Time for which the switch stays on in a stretch that begins with it on.
template <class Real, class Path>
inline Real on_time_s(const Path& path, Real current_a, Real voltage_v, Real limit_a, Real span_s) {
  const Real reach_s = path.reach_s(current_a, voltage_v, limit_a);
  const Real ahead_s = select(reach_s >= Real(0.0), min_of(reach_s, span_s), span_s);
  return select(current_a < limit_a, ahead_s, Real(0.0));
}

/// Mean voltage of a step with a drive share; moves the clock and the switch on by one step.
/// winding_a: what the bridge carries, by whose sign the diodes act; path_a: the path's current.
template <class Real, class Path>
inline Real chopped_voltage_v(const BridgeEndsOf<Real>& ends, Real step_s,
                              ChopperState<Real>& state, Real winding_a, Real path_a,
                              const RowStepInputOf<Real>& in, const Path& path) {
  const Real on_v = bridge_voltage_v(winding_a, in, ends);
  const auto driven = in.drive_ratio > Real(0.0);
  if (!any(driven)) {
    state = {};
    return on_v;
  }
  RowStepInputOf<Real> freewheel = in;
  freewheel.drive_ratio = Real(0.0);
  const Real off_v = bridge_voltage_v(winding_a, freewheel, ends);
  const Real limit_a = path.limit_a(on_v, in.current_limit_a);
  // A command that begins within the step drives the last part of it.
  const Real since_s =
      select(state.runs_ratio > Real(0.5), state.since_s, -(Real(1.0) - in.drive_ratio) * step_s);
  const Real to_edge_s = ends.chop_s - since_s;
  const auto edge = to_edge_s < step_s;
  const Real before_s = max_of(min_of(to_edge_s, step_s), Real(0.0));
  const Real rest_s = step_s - before_s;
  const auto was_off = state.off_ratio > Real(0.5);
  const Real first_s = select(was_off, Real(0.0), on_time_s(path, path_a, on_v, limit_a, before_s));
  const Real at_edge_a =
      path.after_a(path.after_a(path_a, on_v, first_s), off_v, before_s - first_s);
  const Real second_s = select(edge, on_time_s(path, at_edge_a, on_v, limit_a, rest_s), Real(0.0));
  const auto off_first = was_off | (first_s < before_s);
  const auto no_edge = !edge;
  const auto off = (edge & (second_s < rest_s)) | (no_edge & off_first);
  state.off_ratio = select(driven & off, Real(1.0), Real(0.0));
  state.since_s = select(driven, select(edge, rest_s, since_s + step_s), Real(0.0));
  state.runs_ratio = select(driven, Real(1.0), Real(0.0));
  const Real chopped_v = off_v + (on_v - off_v) * ((first_s + second_s) / step_s);
  return select(driven, chopped_v, on_v);
}

}  // namespace model
