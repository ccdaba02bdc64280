// Flow through the seat and through the outlet, in closed form against the waves that arrive.
//
//   seat    p_u - p_d = K Q|Q|/(a x)^2 + c_lam mu Q/(2 a x^2),  K = rho/(2 Cd^2),
//           a = pi d_s sin(alpha); both lines answer linearly, p_u - p_d = D - Zs Q, so
//           Q = 2 D a x^2 / (b + sqrt(b^2 + 4 K x^2 |D|)),  b = Zs a x^2 + c_lam mu/2
//           Limits: x = 0 gives Q = 0; Zs = 0 and c_lam = 0 give Q = a x sqrt(D/K). b and the root
//           are zero together only where nothing flows, and the code selects 0 there.
//           A plugged share of the rim takes away that share of a. A worn pair leaks g dp beside
//           the seat (model/valve/wear.h).
//           The lift acts up to d_s/(4 sin(alpha)), where the gap's area passes the bore's.
//   outlet  p = Ko Q^2 + bo Q,  Ko = rho/(2 Cd^2 Ao^2),  bo = c_lam mu/(Ao d),  p = F - Z Q:
//           Q = 2 F / (Z + bo + sqrt((Z + bo)^2 + 4 Ko F)) for F >= 0
//
// In       D, F in Pa; lift in [0, travel]       Out   m3/s, positive downstream
// State    none, pure functions                  Errors  none
// Valid    quasi-steady, constant Cd with a laminar part added
// Source   orifice equation, e.g. Wylie, Streeter 1993, ch. 3; the quadratics solved
// Checked  tests/model/fluid/orifice_test.cc
#pragma once

#include "model/number.h"
#include "model/reproducible_math.h"
#include "model/row_params.h"
#include "shared/units.h"

namespace model {

template <class Real>
struct SeatPlan {
  Real rim_m{};             // a
  Real loss_kgpm3{};        // K
  Real half_laminar_pas{};  // c_lam mu / 2
  Real most_lift_m{};       // beyond it the bore limits the flow, not the gap
  Real area_m2{};           // A_s
  Real flow_force_rim_m{};  // c_f 2 Cd cos(alpha) a
  Real leak_m3pspa{};       // g; 0: none
};

template <class Real>
struct OutletPlan {
  Real loss_pas2pm6{};          // Ko
  Real laminar_paspm3{};        // bo
  Real inverse_jet_area_pm2{};  // 1 / (Cd Ao)
  Real behind_pa{};             // pressure that the outlet opens into; 0: the atmosphere
};

inline SeatPlan<double> make_seat_plan(const Seat& seat, const Liquid& liquid) {
  const double sine_ratio = sin_of(seat.half_angle_rad);
  const double rim_m = shared::kPi_ratio * seat.diameter_m * sine_ratio * seat.open_ratio;
  const double cd_ratio = seat.discharge_coefficient_ratio;
  return {.rim_m = rim_m,
          .loss_kgpm3 = liquid.density_kgpm3 / (2.0 * cd_ratio * cd_ratio),
          .half_laminar_pas = 0.5 * seat.laminar_coefficient_ratio * liquid.viscosity_pas,
          .most_lift_m = seat.diameter_m / (4.0 * sine_ratio),
          .area_m2 = 0.25 * shared::kPi_ratio * seat.diameter_m * seat.diameter_m,
          .flow_force_rim_m =
              seat.flow_force_ratio * 2.0 * cd_ratio * cos_of(seat.half_angle_rad) * rim_m};
}

inline OutletPlan<double> make_outlet_plan(const Outlet& outlet, const Liquid& liquid) {
  const double area_m2 = 0.25 * shared::kPi_ratio * outlet.bore_m * outlet.bore_m;
  const double jet_area_m2 = outlet.discharge_coefficient_ratio * area_m2;
  return {.loss_pas2pm6 = liquid.density_kgpm3 / (2.0 * jet_area_m2 * jet_area_m2),
          .laminar_paspm3 =
              outlet.laminar_coefficient_ratio * liquid.viscosity_pas / (area_m2 * outlet.bore_m),
          .inverse_jet_area_pm2 = 1.0 / jet_area_m2};
}

/// Flow through the seat when the lines leave drop_pa - line_paspm3 * Q across it.
template <class Real>
inline Real seat_flow_m3ps(const SeatPlan<Real>& seat, Real lift_m, Real drop_pa,
                           Real line_paspm3) {
  const Real x_m = min_of(max_of(lift_m, Real(0.0)), seat.most_lift_m);
  const Real square_m2 = x_m * x_m;
  const Real b_pas = line_paspm3 * seat.rim_m * square_m2 + seat.half_laminar_pas;
  const Real root_pas =
      sqrt_of(b_pas * b_pas + Real(4.0) * seat.loss_kgpm3 * square_m2 * abs_of(drop_pa));
  const Real below_pas = b_pas + root_pas;
  // Shut or without any drop: nothing flows, and below_pas may be zero.
  const auto flows = below_pas > Real(0.0);
  return select(flows,
                Real(2.0) * drop_pa * seat.rim_m * square_m2 / select(flows, below_pas, Real(1.0)),
                Real(0.0));
}

/// Flow of seat and leak together when the lines leave drop_pa - line_paspm3 * Q across both.
template <class Real>
inline Real valve_flow_m3ps(const SeatPlan<Real>& seat, Real lift_m, Real drop_pa,
                            Real line_paspm3) {
  if (!any(seat.leak_m3pspa > Real(0.0))) [[likely]]
    return seat_flow_m3ps(seat, lift_m, drop_pa, line_paspm3);
  const Real share_ratio = Real(1.0) / (Real(1.0) + seat.leak_m3pspa * line_paspm3);
  const Real beside_pa = drop_pa * share_ratio;
  const Real beside_paspm3 = line_paspm3 * share_ratio;
  const Real seat_m3ps = seat_flow_m3ps(seat, lift_m, beside_pa, beside_paspm3);
  return seat_m3ps + seat.leak_m3pspa * (beside_pa - beside_paspm3 * seat_m3ps);
}

/// Pressure drop of the seat at a given flow; lift_m > 0.
template <class Real>
inline Real seat_drop_pa(const SeatPlan<Real>& seat, Real lift_m, Real flow_m3ps) {
  const Real gap_m2 = seat.rim_m * min_of(lift_m, seat.most_lift_m);
  return seat.loss_kgpm3 * flow_m3ps * abs_of(flow_m3ps) / (gap_m2 * gap_m2) +
         seat.half_laminar_pas * flow_m3ps / (gap_m2 * min_of(lift_m, seat.most_lift_m));
}

/// Force of pressure and flow on the plunger, positive towards the seat; A_s (p_u - p_d) when shut.
template <class Real>
inline Real seat_force_n(const SeatPlan<Real>& seat, Real lift_m, Real drop_pa) {
  return (seat.area_m2 - seat.flow_force_rim_m * min_of(lift_m, seat.most_lift_m)) * drop_pa;
}

/// Flow out of the outlet against a wave of arriving_pa >= 0 in a line of impedance line_paspm3.
template <class Real>
inline Real outlet_flow_m3ps(const OutletPlan<Real>& outlet, Real arriving_pa, Real line_paspm3) {
  const Real b_paspm3 = line_paspm3 + outlet.laminar_paspm3;
  return Real(2.0) * arriving_pa /
         (b_paspm3 + sqrt_of(b_paspm3 * b_paspm3 + Real(4.0) * outlet.loss_pas2pm6 * arriving_pa));
}

}  // namespace model
