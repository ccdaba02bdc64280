// Published discharge laws of small orifices and tubes that the model does not use itself: limits
// of its own law, and laws to compare it with.
//
// Source   beside each law
#pragma once

#include <cmath>

#include "shared/units.h"

namespace discharge {

/// The whole law of Lichtarowicz, Duggins, Markland 1965. Re is that of the ideal speed sqrt(2
/// p/rho).
inline double lichtarowicz_ratio(double re_ratio, double length_over_bore_ratio) {
  const double log10 = std::log10(1.5e-4 * re_ratio);
  return 1.0 / (1.0 / (.827 - .0085 * length_over_bore_ratio) +
                (20.0 / re_ratio) * (1.0 + 2.25 * length_over_bore_ratio) -
                .005 * length_over_bore_ratio / (1.0 + 7.5 * log10 * log10));
}

/// Wu, Burton, Schoenau 2002, sharp edge (from memory).
inline double wu_sharp_ratio(double re_ratio) {
  const double root = std::sqrt(re_ratio);
  return .61 * (1.0 + 1.07 * std::exp(-.126 * root) - 2.07 * std::exp(-.246 * root));
}

/// Sampson 1891: creeping flow through a hole in a plate without thickness.
inline double sampson_m3ps(double bore_m, double drop_pa, double viscosity_pas) {
  return bore_m * bore_m * bore_m * drop_pa / (24.0 * viscosity_pas);
}

/// Dagan, Weinbaum, Pfeffer 1982 (from memory), within 1 %: a hole with length.
inline double dagan_drop_pa(double bore_m, double length_m, double viscosity_pas,
                            double flow_m3ps) {
  const double r_m = 0.5 * bore_m;
  return flow_m3ps * viscosity_pas / (r_m * r_m * r_m) *
         (3.0 + 8.0 * length_m / (shared::kPi_ratio * r_m));
}

/// Nakayama 1961 (from memory), 550 < Re < 7000.
inline double nakayama_ratio(double re_ratio, double length_over_bore_ratio) {
  return std::pow(re_ratio, 5.0 / 6.0) /
         (17.11 * length_over_bore_ratio + 1.65 * std::pow(re_ratio, .8));
}

/// Unwin's water tests of the 19th century (Britannica, 11th ed., vol. 14).
inline double unwin_ratio(double bore_m, double head_m) {
  return .6075 + .0098 / std::sqrt(head_m / shared::kFoot_m) - .0037 * bore_m / shared::kInch_m;
}

/// ISO 5167-2, Reader-Harris and Gallagher, its first terms (no tappings): the high-Re limit only.
inline double reader_harris_ratio(double re_ratio, double beta_ratio) {
  const double b2 = beta_ratio * beta_ratio;
  const double b8 = b2 * b2 * b2 * b2;
  return .5961 + .0261 * b2 - .216 * b8 + .000521 * std::pow(1e6 * beta_ratio / re_ratio, .7);
}

}  // namespace discharge
