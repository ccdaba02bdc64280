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
  double side_mps = 0.0;
};

JetParts parts_of(double speed_mps, const JetDirection& direction) {
  const double ahead_mps = speed_mps * direction.side_cosine_ratio;
  return {.down_mps = ahead_mps * direction.down_ratio,
          .forward_mps = ahead_mps * direction.forward_ratio,
          .side_mps = speed_mps * direction.side_ratio};
}

// h = u_z t + g t^2 / 2, solved in the form whose denominator only adds: no digits cancel at high
// speed, and at rest it is the free fall sqrt(2 h / g).
double fall_time_s(double down_mps, double height_m) {
  return 2.0 * height_m /
         (down_mps +
          std::sqrt(down_mps * down_mps + 2.0 * shared::kStandardGravity_mps2 * height_m));
}

struct Way {
  JetParts parts;
  double time_s = 0.0;
};

// The surface points where the jet would, so the parts of the velocity are the same along the
// surface and beyond it.
Way way_of(double jet_speed_mps, const JetAim& aim, const JetDirection& direction) {
  EXPECTS(aim.drop_height_m > 0.0);
  EXPECTS(jet_speed_mps >= 0.0);
  Way way;
  if (!(aim.guide_length_m > 0.0)) {
    way.parts = parts_of(jet_speed_mps, direction);
    way.time_s = fall_time_s(way.parts.down_mps, aim.drop_height_m);
    return way;
  }
  EXPECTS(aim.guide_speed_mps > 0.0);
  way.parts = parts_of(aim.guide_speed_mps, direction);
  const double guided_m = aim.guide_length_m * way.parts.down_mps / aim.guide_speed_mps;
  if (guided_m >= aim.drop_height_m) {
    way.time_s = aim.drop_height_m / way.parts.down_mps;
  } else {
    way.time_s = aim.guide_length_m / aim.guide_speed_mps +
                 fall_time_s(way.parts.down_mps, aim.drop_height_m - guided_m);
  }
  return way;
}

}  // namespace

// sin 0 = 0 and cos 0 = 1 exactly.
JetDirection direction_of(const JetAim& aim) {
  return {.down_ratio = cos_of(aim.aim_rad),
          .forward_ratio = sin_of(aim.aim_rad),
          .side_cosine_ratio = cos_of(aim.side_aim_rad),
          .side_ratio = sin_of(aim.side_aim_rad)};
}

double jet_flight_time_s(double jet_speed_mps, const JetAim& aim) {
  return way_of(jet_speed_mps, aim, direction_of(aim)).time_s;
}

double jet_reach_m(double jet_speed_mps, double ground_speed_mps, const JetAim& aim) {
  return jet_reach_m(jet_speed_mps, ground_speed_mps, aim, direction_of(aim));
}

double jet_reach_m(double jet_speed_mps, double ground_speed_mps, const JetAim& aim,
                   const JetDirection& direction) {
  const Way way = way_of(jet_speed_mps, aim, direction);
  return (ground_speed_mps + way.parts.forward_mps) * way.time_s;
}

double jet_side_reach_m(double jet_speed_mps, const JetAim& aim) {
  const Way way = way_of(jet_speed_mps, aim, direction_of(aim));
  return way.parts.side_mps * way.time_s;
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
