// A solenoid of the reluctance kind as one stored energy: the current that a flux linkage needs,
// and the force that pulls the plunger towards its stop, at a lift x.
//
//   y = y_m + Ll i,  i = c (g - x) y_m + ih y_m/(ys - |y_m|) - ir        F = c y_m^2 / 2
//
//   y_m  linkage of the working gap g - x (g at the seat, other gaps of the circuit counted in);
//        c = 1/(mu0 A N^2), so that c (g - x) is 1 over the gap's inductance
//   ih   the iron's share of the current by Froehlich's curve B = Bs H/(H + Hh): half of the
//        saturation linkage ys needs ih in the iron; ys = 0: iron without reluctance
//   Ll   leakage that links the winding and crosses no working gap
//   ir   remanence as a current that the iron has of its own: a force is left at i = 0
//
//   Energy W(y, x) = c (g - x) y_m^2/2 + ih (-|y_m| - ys ln(1 - |y_m|/ys)) - ir y_m + Ll i^2/2;
//   i = dW/dy and F = -dW/dx at constant y, so that electrical work = stored + mechanical + heat.
//
//   Eddy currents are a shorted turn around the whole linkage, with the resistance re as seen from
//   the winding: the winding's current is i + (dy/dt)/re.
//
// Errors   EXPECTS a gap above the travel and, with saturation, a leakage above 0
// Valid    no hysteresis loop: remanence is the same for every history; one eddy time constant
// Source   H. C. Roters, Electromagnetic Devices, 1941 (gap force, leakage); O. Froehlich, 1881
//          (curve); both from memory
// Checked  tests/model/valve/reluctance_test.cc
#pragma once

#include <cmath>

#include "model/number.h"
#include "model/reproducible_math.h"
#include "model/row_params.h"

namespace model {

template <class Real>
struct ReluctancePlan {
  Real gap_m{};
  Real per_henry_metre_aptm{};  // c, A/(V s m)
  Real leakage_h{};
  Real saturation_vs{};  // 0: none
  Real half_a{};
  Real remanence_a{};
  Real eddy_siemens{};  // 1/re
};

/// Linkage of the working gap, and how it goes with the whole linkage.
template <class Real>
struct GapLinkage {
  Real linkage_vs{};   // y_m
  Real current_a{};    // i, without eddy currents
  Real slope_a_pvs{};  // di/dy at constant x
  Real share{};        // tidy: a ratio, dy_m/dy at constant x
};

inline ReluctancePlan<double> make_reluctance_plan(const Coil& coil) {
  const Reluctance& iron = coil.reluctance;
  const double gap_h = coil.inductance_h - iron.leakage_h;
  const double iron_per_h =
      iron.saturation_vs > 0.0 ? iron.half_current_a / iron.saturation_vs : 0.0;
  return {.gap_m = iron.gap_m,
          .per_henry_metre_aptm = (1.0 / gap_h - iron_per_h) / iron.gap_m,
          .leakage_h = iron.leakage_h,
          .saturation_vs = iron.saturation_vs,
          .half_a = iron.half_current_a,
          .remanence_a = iron.remanence_a,
          .eddy_siemens = iron.eddy_ohm > 0.0 ? 1.0 / iron.eddy_ohm : 0.0};
}

/// Gap linkage, current and slope for a whole linkage; closed form, the smaller root of
/// a y^2 - (a ys + y' + Ll ih) y + y' ys = 0 with a = 1 + Ll c (g - x), y' = y + Ll ir.
template <class Real>
inline GapLinkage<Real> gap_linkage(const ReluctancePlan<Real>& plan, Real linkage_vs,
                                    Real lift_m) {
  const Real per_h = plan.per_henry_metre_aptm * (plan.gap_m - lift_m);
  const Real a = Real(1.0) + plan.leakage_h * per_h;  // tidy: unit is a ratio
  const Real shifted_vs = linkage_vs + plan.leakage_h * plan.remanence_a;
  if (!any(plan.saturation_vs > Real(0.0))) {
    const Real y_vs = shifted_vs / a;
    return {.linkage_vs = y_vs,
            .current_a = per_h * y_vs - plan.remanence_a,
            .slope_a_pvs = per_h / a,
            .share = Real(1.0) / a};
  }
  const Real size_vs = abs_of(shifted_vs);
  const Real b_vs = a * plan.saturation_vs + size_vs + plan.leakage_h * plan.half_a;
  const Real product = size_vs * plan.saturation_vs;  // tidy: unit is V2 s2
  const Real root_vs = sqrt_of(b_vs * b_vs - Real(4.0) * a * product);
  const Real y_size_vs = Real(2.0) * product / (b_vs + root_vs);
  const Real y_vs = select(shifted_vs < Real(0.0), -y_size_vs, y_size_vs);
  const Real left_vs = plan.saturation_vs - y_size_vs;
  const Real iron_per_h = plan.half_a / left_vs;
  // d(iron current)/dy_m = ih ys/(ys - y)^2; dy_m/dy = 1/(a + Ll of that)
  const Real iron_slope = iron_per_h * plan.saturation_vs / left_vs;  // tidy: unit is 1/H
  return {.linkage_vs = y_vs,
          .current_a = (per_h + iron_per_h) * y_vs - plan.remanence_a,
          .slope_a_pvs = (per_h + iron_slope) / (a + plan.leakage_h * iron_slope),
          .share = Real(1.0) / (a + plan.leakage_h * iron_slope)};
}

template <class Real>
inline Real gap_force_n(const ReluctancePlan<Real>& plan, Real gap_linkage_vs) {
  return Real(0.5) * plan.per_henry_metre_aptm * gap_linkage_vs * gap_linkage_vs;
}

/// Gap linkage that a current without eddy currents holds, and the whole linkage with it.
inline double gap_linkage_of_current_vs(const ReluctancePlan<double>& plan, double current_a,
                                        double lift_m) {
  const double per_h = plan.per_henry_metre_aptm * (plan.gap_m - lift_m);
  const double drive_a = current_a + plan.remanence_a;
  if (!(plan.saturation_vs > 0.0)) return drive_a / per_h;
  const double size_a = std::abs(drive_a);
  const double b_a = per_h * plan.saturation_vs + plan.half_a + size_a;
  const double root_a = std::sqrt(b_a * b_a - 4.0 * per_h * size_a * plan.saturation_vs);
  const double y_vs = 2.0 * size_a * plan.saturation_vs / (b_a + root_a);
  return drive_a < 0.0 ? -y_vs : y_vs;
}
inline double linkage_of_current_vs(const ReluctancePlan<double>& plan, double current_a,
                                    double lift_m) {
  return gap_linkage_of_current_vs(plan, current_a, lift_m) + plan.leakage_h * current_a;
}

/// Stored energy W(y, x); 0 for no linkage, J.
inline double stored_energy_j(const ReluctancePlan<double>& plan, double linkage_vs,
                              double lift_m) {
  const GapLinkage<double> gap = gap_linkage(plan, linkage_vs, lift_m);
  const double y_vs = gap.linkage_vs;
  double energy_j = 0.5 * plan.per_henry_metre_aptm * (plan.gap_m - lift_m) * y_vs * y_vs -
                    plan.remanence_a * y_vs + 0.5 * plan.leakage_h * gap.current_a * gap.current_a;
  if (plan.saturation_vs > 0.0) {
    const double size_vs = std::abs(y_vs);
    energy_j +=
        plan.half_a * (-size_vs - plan.saturation_vs * log1p_of(-size_vs / plan.saturation_vs));
  }
  return energy_j;
}

}  // namespace model
