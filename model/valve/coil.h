// Current in the valve's coil over one step.
//
//   L di/dt = u - R i - Kf v, exact for constant u and v:
//   i(t) = i_end + (i - i_end) e^{-R t/L},  i_end = (u - Kf v)/R
//   u is the mean of the bridge's shares of the step. Fast decay opposes the current with the
//   supply or a clamp and ends at zero; slow decay runs through a freewheel path, with its diode's
//   drop, and ends at zero too; drive holds an ideal limit: above it the bridge freewheels.
//   The mean over a step with a drive share theta errs by U R dt^2 theta (1 - theta)/(2 L^2): the
//   order of the shares is not known, and 0.4 mA of 3 A at 10 us does not matter.
//
// In       RowStepInput, plunger speed (mean of the step)     Out   current at the step's end
// State    the current, the caller's        Errors  none
// Valid    constant inductance, no eddy currents
// Source   L R circuit; bridge of shared/controller_abi.h
// Checked  tests/model/valve/coil_test.cc
#pragma once

#include "model/number.h"
#include "model/reproducible_math.h"
#include "model/row_params.h"
#include "model/valve/bridge_step.h"

namespace model {

/// The voltages at which the bridge lets a current run out, and the clock of its limit.
template <class Real>
struct BridgeEndsOf {
  Real clamp_v{};  // fast decay; 0: the supply
  Real diode_v{};  // slow decay
  Real chop_s{};   // period of the chopper (model/valve/chopper.h); 0: an ideal limit
};
using BridgeEnds = BridgeEndsOf<double>;

inline BridgeEnds bridge_ends(const Coil& coil) {
  return {.clamp_v = coil.clamp_v,
          .diode_v = coil.diode_v,
          .chop_s = coil.chop_hz > 0.0 ? 1.0 / coil.chop_hz : 0.0};
}

template <class Real>
struct CoilPlan {
  Real inverse_resistance_a_pv{};
  Real force_constant_npa{};
  Real decay_ratio{};  // e^{-R dt / L}
  Real time_s{};       // L/R
  BridgeEndsOf<Real> ends{};
};

inline CoilPlan<double> make_coil_plan(const Coil& coil, double step_s) {
  return {.inverse_resistance_a_pv = 1.0 / coil.resistance_ohm,
          .force_constant_npa = coil.force_constant_npa,
          .decay_ratio = exp_of(-coil.resistance_ohm * step_s / coil.inductance_h),
          .time_s = coil.inductance_h / coil.resistance_ohm,
          .ends = bridge_ends(coil)};
}

/// Mean voltage on the coil; either decay has the sign that brings the current down. At zero the
/// diodes block whatever the moving plunger induces, up to the voltage of that decay; a drive that
/// follows in the same step finds the coil at rest.
template <class Real>
inline Real bridge_voltage_v(Real current_a, const RowStepInputOf<Real>& in,
                             const BridgeEndsOf<Real>& ends) {
  const auto driven = (in.drive_ratio > Real(0.0)) | (in.reverse_ratio > Real(0.0));
  const Real at_zero_ratio = select(driven, Real(0.0), Real(1.0));
  const Real against_ratio = select(current_a > Real(0.0), Real(1.0),
                                    select(current_a < Real(0.0), Real(-1.0), at_zero_ratio));
  if (!any((ends.clamp_v > Real(0.0)) | (ends.diode_v > Real(0.0))))
    return in.supply_voltage_v *
           ((in.drive_ratio - in.reverse_ratio) - in.fast_decay_ratio * against_ratio);
  const Real clamp_v = select(ends.clamp_v > Real(0.0), ends.clamp_v, in.supply_voltage_v);
  const Real slow_ratio = Real(1.0) - in.drive_ratio - in.reverse_ratio - in.fast_decay_ratio;
  return in.supply_voltage_v * (in.drive_ratio - in.reverse_ratio) -
         (clamp_v * in.fast_decay_ratio + ends.diode_v * slow_ratio) * against_ratio;
}

/// The current that diodes and limit allow where the voltage alone would give free_a and 0 V would
/// give slow_a. Each bound is chosen by a comparison that is false for a not-a-number, so that a
/// not-a-number stays.
template <class Real>
inline Real bridge_clip_a(Real before_a, Real free_a, Real slow_a, const RowStepInputOf<Real>& in) {
  const auto driven = in.drive_ratio > Real(0.0);
  const Real limit_a = max_of(in.current_limit_a, slow_a);
  const auto limited = driven & (in.current_limit_a > Real(0.0)) & (free_a > limit_a);
  const Real after_a = select(limited, limit_a, free_a);
  // A negative current, left by a reverse share, runs out to zero from below; drive may lift it.
  const auto idle = !driven;
  const auto from_below = before_a < Real(0.0);
  const auto from_above = !from_below;
  const auto at_zero =
      (from_below & idle & (after_a > Real(0.0))) | (from_above & (after_a < Real(0.0)));
  return select(at_zero & (in.reverse_ratio == Real(0.0)), Real(0.0), after_a);
}

/// voltage_v: the mean of the step.
template <class Real>
inline Real coil_current_under_a(const CoilPlan<Real>& coil, Real current_a, Real speed_mps,
                                 Real voltage_v, const RowStepInputOf<Real>& in) {
  const Real back_v = coil.force_constant_npa * speed_mps;
  const Real end_a = (voltage_v - back_v) * coil.inverse_resistance_a_pv;
  const Real slow_end_a = (-coil.ends.diode_v - back_v) * coil.inverse_resistance_a_pv;
  const Real free_a = end_a + (current_a - end_a) * coil.decay_ratio;
  const Real slow_a = slow_end_a + (current_a - slow_end_a) * coil.decay_ratio;
  return bridge_clip_a(current_a, free_a, slow_a, in);
}

template <class Real>
inline Real coil_current_a(const CoilPlan<Real>& coil, Real current_a, Real speed_mps,
                           const RowStepInputOf<Real>& in) {
  return coil_current_under_a(coil, current_a, speed_mps,
                              bridge_voltage_v(current_a, in, coil.ends), in);
}

}  // namespace model
