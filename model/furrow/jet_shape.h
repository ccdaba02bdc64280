// What becomes of a liquid jet on its way: whether it leaves the rim at all, stays whole, splashes.
//
//   We = rho u^2 d/sigma, Re = rho u d/mu, Oh = mu/sqrt(rho sigma d)
//   break-up length   laminar L/d = 19.5 We^.5 (1 + 3 Oh)^.85; turbulent L/d = 8.51 We^.32
//   drop of the break-up 1.89 d (volume of one fastest-growing wave, 4.508 d of jet)
//   jet instead of drops when the mean speed in the bore passes
//     We_c = 4 (Bo_o/Bo) [1 + K Bo Bo_o - sqrt((1 + K Bo Bo_o)^2 - 1)]^2, K = .37,
//     Bo = sqrt(rho g d^2/(2 sigma)), Bo_o the same of the wetted rim
//   splash of a drop on a wall: We^.5 Re^.25 > 57.7
//
// In       SI; d of jet, bore or drop, above 0      Out   pure numbers, m, m/s
// State    none, pure functions   Errors   EXPECTS diameter and surface tension > 0
// Valid    jets of water-like liquids into still air, below the speeds at which air tears them;
//          the turbulent law above Re 2300 in the bore (transition of tubes). K = .37 is water's in
//          air. The splash limit is of drops on a dry solid wall: soil, a wet furrow and an
//          unbroken jet are none of these, so it is a flag and claims nothing
// Source   break-up: R. P. Grant, S. Middleman, AIChE J. 12 (1966) 669; drop: Rayleigh 1879; C.
//          Clanet, J. C. Lasheras, J. Fluid Mech. 383 (1999) 307 (formula from memory); C. Mundo,
//          M. Sommerfeld, C. Tropea, Int. J. Multiphase Flow 21 (1995) 151 (from memory)
// Checked  tests/published/jet_shape_test.cc
#pragma once

#include <cmath>

#include "model/reproducible_math.h"
#include "model/row_params.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

inline constexpr double kSplash_ratio = 57.7;
inline constexpr double kTurbulentJet_ratio = 2300.0;

struct JetNumbers {
  double weber_ratio = 0.0;
  double reynolds_ratio = 0.0;
  double ohnesorge_ratio = 0.0;
};

inline JetNumbers jet_numbers(const Liquid& liquid, double speed_mps, double diameter_m) {
  EXPECTS(diameter_m > 0.0 && liquid.surface_tension_npm > 0.0 && liquid.viscosity_pas > 0.0);
  const double density_kgpm3 = liquid.density_kgpm3;
  return {.weber_ratio =
              density_kgpm3 * speed_mps * speed_mps * diameter_m / liquid.surface_tension_npm,
          .reynolds_ratio = density_kgpm3 * speed_mps * diameter_m / liquid.viscosity_pas,
          .ohnesorge_ratio = liquid.viscosity_pas /
                             std::sqrt(density_kgpm3 * diameter_m * liquid.surface_tension_npm)};
}

inline double laminar_breakup_length_m(const JetNumbers& jet, double diameter_m) {
  return 19.5 * diameter_m * std::sqrt(jet.weber_ratio) *
         pow_of(1.0 + 3.0 * jet.ohnesorge_ratio, 0.85);
}

inline double turbulent_breakup_length_m(const JetNumbers& jet, double diameter_m) {
  return 8.51 * diameter_m * pow_of(jet.weber_ratio, 0.32);
}

inline double breakup_length_m(const JetNumbers& jet, double diameter_m) {
  return jet.reynolds_ratio > kTurbulentJet_ratio ? turbulent_breakup_length_m(jet, diameter_m)
                                                  : laminar_breakup_length_m(jet, diameter_m);
}

inline double breakup_drop_m(double diameter_m) { return 1.89 * diameter_m; }

/// Mean speed in the bore below which liquid drips from the rim.
inline double least_jetting_speed_mps(const Liquid& liquid, double bore_m, double rim_m) {
  EXPECTS(bore_m > 0.0 && rim_m >= bore_m && liquid.surface_tension_npm > 0.0);
  const double inverse_length_pm = std::sqrt(liquid.density_kgpm3 * shared::kStandardGravity_mps2 /
                                             (2.0 * liquid.surface_tension_npm));
  const double bond_ratio = inverse_length_pm * bore_m;
  const double rim_bond_ratio = inverse_length_pm * rim_m;
  const double u_ratio = 1.0 + 0.37 * bond_ratio * rim_bond_ratio;
  const double root_ratio = u_ratio - std::sqrt(u_ratio * u_ratio - 1.0);
  const double weber_ratio = 4.0 * rim_bond_ratio / bond_ratio * root_ratio * root_ratio;
  return std::sqrt(weber_ratio * liquid.surface_tension_npm / (liquid.density_kgpm3 * bore_m));
}

inline double splash_ratio(const JetNumbers& drop) {
  return std::sqrt(drop.weber_ratio) * std::sqrt(std::sqrt(drop.reynolds_ratio));
}

}  // namespace model
