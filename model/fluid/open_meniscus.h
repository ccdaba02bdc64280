// How far the meniscus of an open end draws back while it evaporates into still air.
//
//   z dz/dt = K,  K = D p/(rho Rv T) ln((p - p_air)/(p - p_s)):  z = sqrt(z0^2 + 2 K t)
//   p_s the liquid's own vapour pressure, p_air that of water in the air outside:
//   humidity * 610.94 Pa exp(17.625 c/(c + 243.04)), c in degrees Celsius
//   Limits: t = 0 gives z0; a liquid that gives off less than the air holds (K <= 0) stays.
//
// In       SI, pressures absolute, z0 >= 0          Out   m2/s, m, Pa
// Errors   EXPECTS p above both vapour pressures    State   none, pure functions
// Valid    one still way of air above the liquid that ends at the outer air. From z0 = 0 the law
//          evaporates too much at first: vapour has to cross air outside the mouth as well. Wind is
//          left out, and so is dissolved matter, which stays behind and lowers p_s as liquid dries
// Source   J. Stefan 1874; R. B. Bird, W. E. Stewart, E. N. Lightfoot, Transport Phenomena,
//          section on diffusion through a stagnant gas film (from memory); vapour pressure of
//          water: O. A. Alduchov, R. E. Eskridge, J. Appl. Meteor. 35 (1996) 601 (from memory)
// Checked  tests/published/open_meniscus_test.cc
#pragma once

#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

inline constexpr double kWaterVapourInAir_m2ps = 2.5e-5;    // near 20 C, 1 atm (from memory)
inline constexpr double kWaterVapourGasConstant = 461.523;  // tidy: unit J/(kg K)

inline double water_vapour_pressure_pa(double temperature_k) {
  const double celsius_k = temperature_k - shared::kZeroCelsius_k;
  return 610.94 * exp_of(17.625 * celsius_k / (celsius_k + 243.04));
}

struct OpenMeniscus {
  double density_kgpm3 = 998.2;
  double vapour_abs_pa = 2339.3;  // of the liquid
  double air_vapour_abs_pa = 0.0;
  double atmosphere_abs_pa = shared::kStandardAtmosphere_pa;
  double temperature_k = 293.15;
  double diffusivity_m2ps = kWaterVapourInAir_m2ps;
  double gas_constant = kWaterVapourGasConstant;  // tidy: unit J/(kg K), of the vapour
};

/// K; 0 where nothing evaporates.
inline double drying_m2ps(const OpenMeniscus& meniscus) {
  const double p_pa = meniscus.atmosphere_abs_pa;
  EXPECTS(p_pa > meniscus.vapour_abs_pa && p_pa > meniscus.air_vapour_abs_pa);
  EXPECTS(meniscus.density_kgpm3 > 0.0 && meniscus.temperature_k > 0.0);
  if (meniscus.vapour_abs_pa <= meniscus.air_vapour_abs_pa) return 0.0;
  return meniscus.diffusivity_m2ps * p_pa /
         (meniscus.density_kgpm3 * meniscus.gas_constant * meniscus.temperature_k) *
         log_of((p_pa - meniscus.air_vapour_abs_pa) / (p_pa - meniscus.vapour_abs_pa));
}

inline double drawn_back_m(double start_m, double drying_rate_m2ps, double time_s) {
  EXPECTS(start_m >= 0.0 && drying_rate_m2ps >= 0.0 && time_s >= 0.0);
  return std::sqrt(start_m * start_m + 2.0 * drying_rate_m2ps * time_s);
}

}  // namespace model
