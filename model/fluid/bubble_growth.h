// How much gas comes out of solution while liquid stands: growth of one bubble by diffusion, and
// the whole excess as an upper bound.
//
//   dR/dt = S D (1/R + 1/sqrt(pi D t)),  S = (c - c_s)/rho_gas = L (p_saturated/p - 1)
//   from nothing   R = 2 b sqrt(D t) with 2 b^2 - 2 S b/sqrt(pi) - S = 0, exact for this equation
//   late, any R0   R^2 = R0^2 + 2 S D t; S < 0: it dissolves and is gone after R0^2/(-2 S D)
//   bound          S V: all that the liquid volume V holds in excess
//   Surface tension is left out: it would dissolve a bubble of a radius below 2 sigma/dp, so the
//   growth computed here is an upper bound.
//   Limits: S = 0 and t = 0 give R = R0 (or nothing); small S: b = sqrt(S/2), both laws agree.
//
// In       L dissolved gas by volume at its own pressure (Ostwald; air in water 0.02 at 20 C),
//          pressures absolute, D m2/s, t >= 0        Out   pure number, m
// Errors   EXPECTS p > 0, D > 0, t >= 0              State   none, pure functions
// Valid    S well below 1: the bubble's surface is taken to stand still while gas diffuses
// Source   P. S. Epstein, M. S. Plesset, J. Chem. Phys. 18 (1950) 1505 (equation from memory;
//          similarity solution worked out here)
// Checked  tests/published/bubble_growth_test.cc
#pragma once

#include <cmath>

#include "shared/check.h"
#include "shared/units.h"

namespace model {

inline double excess_gas_ratio(double solubility_ratio, double saturated_abs_pa, double abs_pa) {
  EXPECTS(abs_pa > 0.0 && solubility_ratio >= 0.0);
  return solubility_ratio * (saturated_abs_pa / abs_pa - 1.0);
}

/// Radius of a bubble that started from nothing; 0 without an excess.
inline double grown_radius_m(double excess_ratio, double diffusivity_m2ps, double time_s) {
  EXPECTS(diffusivity_m2ps > 0.0 && time_s >= 0.0);
  if (excess_ratio <= 0.0) return 0.0;
  const double half_ratio = excess_ratio / std::sqrt(shared::kPi_ratio);
  const double b_ratio =
      0.5 * (half_ratio + std::sqrt(half_ratio * half_ratio + 2.0 * excess_ratio));
  return 2.0 * b_ratio * std::sqrt(diffusivity_m2ps * time_s);
}

/// Late law from a radius at the start, growing or dissolving; 0 once the bubble has dissolved.
inline double late_radius_m(double start_m, double excess_ratio, double diffusivity_m2ps,
                            double time_s) {
  EXPECTS(diffusivity_m2ps > 0.0 && time_s >= 0.0 && start_m >= 0.0);
  const double square_m2 = start_m * start_m + 2.0 * excess_ratio * diffusivity_m2ps * time_s;
  return square_m2 > 0.0 ? std::sqrt(square_m2) : 0.0;
}

}  // namespace model
