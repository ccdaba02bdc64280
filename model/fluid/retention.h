// What keeps liquid in a tube whose lower end is open: the meniscus and the atmosphere.
//
//   capillary length   l = sqrt(sigma/(rho g))
//   meniscus           a hemisphere in the bore d carries dp = 4 sigma/d, and with air above the
//                      liquid a column of Jurin's height h = 4 sigma/(rho g d)
//   shut at the top    the atmosphere carries the column up to (p_atm - p_vap)/(rho g): nothing
//                      leaves unless air comes in. A flat meniscus that faces down, free to slide
//                      on the wall, lets air in once its first lopsided wave grows, k R = 1.84118
//                      (first zero of J1'), k = 1/l:  d > 2 * 1.84118 l
//   in a wetted tube   a long bubble rises by itself once rho g R^2/sigma > 0.842, so a void
//                      behind an outlet stays there only in a tube of d < 2 sqrt(0.842) l
//
// In       liquid, bore > 0       Out   m, Pa       State   none, pure functions
// Errors   EXPECTS bore, density and surface tension > 0
// Valid    round bores, still liquid, no shaking: a machine that jolts needs a margin. A meniscus
//          pinned on a sharp rim holds more (k R = 3.83, J. C. Maxwell 1875), a wetted one less
// Source   Young 1805, Laplace 1806, Jurin 1718; J1' zero from tables of Bessel functions (from
//          memory, computed again in the test); F. P. Bretherton, J. Fluid Mech. 10 (1961) 166
//          (0.842, from memory)
// Checked  tests/published/retention_test.cc
#pragma once

#include <cmath>

#include "model/row_params.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

inline constexpr double kFirstLopsidedWave_ratio = 1.8411837813406593;
inline constexpr double kBubbleRises_ratio = 0.842;

inline double capillary_length_m(const Liquid& liquid) {
  EXPECTS(liquid.surface_tension_npm > 0.0 && liquid.density_kgpm3 > 0.0);
  return std::sqrt(liquid.surface_tension_npm /
                   (liquid.density_kgpm3 * shared::kStandardGravity_mps2));
}

inline double meniscus_pressure_pa(const Liquid& liquid, double bore_m) {
  EXPECTS(bore_m > 0.0);
  return 4.0 * liquid.surface_tension_npm / bore_m;
}

/// Tallest column that the meniscus alone holds, open to air at the top.
inline double jurin_height_m(const Liquid& liquid, double bore_m) {
  EXPECTS(liquid.density_kgpm3 > 0.0);
  return meniscus_pressure_pa(liquid, bore_m) /
         (liquid.density_kgpm3 * shared::kStandardGravity_mps2);
}

/// Widest open end that holds a column which is shut at its top.
inline double widest_holding_bore_m(const Liquid& liquid) {
  return 2.0 * kFirstLopsidedWave_ratio * capillary_length_m(liquid);
}

/// Widest wetted tube in which a void stays where it is instead of rising.
inline double widest_bubble_holding_bore_m(const Liquid& liquid) {
  return 2.0 * std::sqrt(kBubbleRises_ratio) * capillary_length_m(liquid);
}

/// Tallest column below a shut valve: above it the liquid boils at the valve.
inline double tallest_hanging_column_m(const Liquid& liquid, double atmosphere_abs_pa) {
  EXPECTS(liquid.density_kgpm3 > 0.0);
  return (atmosphere_abs_pa - liquid.vapour_pressure_abs_pa) /
         (liquid.density_kgpm3 * shared::kStandardGravity_mps2);
}

}  // namespace model
