#include "model/furrow/outlet_jet.h"

#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {
namespace {

struct JetParts {
  double down_mps = 0.0;
  double forward_mps = 0.0;
};

// Straight down is by far the most common aim; sin 0 = 0 and cos 0 = 1 exactly, so the short way
// gives the same bits.
JetParts parts_of(double jet_speed_mps, double aim_rad) {
  if (aim_rad == 0.0) return {.down_mps = jet_speed_mps, .forward_mps = 0.0};
  return {.down_mps = jet_speed_mps * cos_of(aim_rad),
          .forward_mps = jet_speed_mps * sin_of(aim_rad)};
}

// h = u_z t + g t^2 / 2, solved in the form whose denominator only adds: no digits cancel at high
// speed, and at rest it is the free fall sqrt(2 h / g).
double fall_time_s(double down_mps, double height_m) {
  return 2.0 * height_m /
         (down_mps +
          std::sqrt(down_mps * down_mps + 2.0 * shared::kStandardGravity_mps2 * height_m));
}

}  // namespace

double jet_flight_time_s(double jet_speed_mps, const JetAim& aim) {
  EXPECTS(aim.drop_height_m > 0.0);
  EXPECTS(jet_speed_mps >= 0.0);
  return fall_time_s(parts_of(jet_speed_mps, aim.aim_rad).down_mps, aim.drop_height_m);
}

double jet_reach_m(double jet_speed_mps, double ground_speed_mps, const JetAim& aim) {
  EXPECTS(aim.drop_height_m > 0.0);
  EXPECTS(jet_speed_mps >= 0.0);
  const JetParts parts = parts_of(jet_speed_mps, aim.aim_rad);
  return (ground_speed_mps + parts.forward_mps) * fall_time_s(parts.down_mps, aim.drop_height_m);
}

// Momentum flux rho u^2 pi d^2 / 4 against surface tension round the rim and in the cap gives We =
// rho u^2 d / sigma = 8.
double dribble_speed_mps(const Liquid& liquid, const Outlet& outlet) {
  EXPECTS(liquid.density_kgpm3 > 0.0 && outlet.bore_m > 0.0);
  return std::sqrt(8.0 * liquid.surface_tension_npm / (liquid.density_kgpm3 * outlet.bore_m));
}

double jet_thrust_over_seed_weight_ratio(const Liquid& liquid, const Outlet& outlet,
                                         double flow_m3ps, double seed_mass_kg) {
  EXPECTS(seed_mass_kg > 0.0 && outlet.bore_m > 0.0);
  const double bore_area_m2 = shared::kPi_ratio * outlet.bore_m * outlet.bore_m / 4.0;
  const double jet_speed_mps = flow_m3ps / (outlet.discharge_coefficient_ratio * bore_area_m2);
  const double thrust_n = liquid.density_kgpm3 * flow_m3ps * jet_speed_mps;
  return thrust_n / (seed_mass_kg * shared::kStandardGravity_mps2);
}

}  // namespace model
