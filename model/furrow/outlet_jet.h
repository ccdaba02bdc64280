// The liquid's way from the outlet to the furrow floor: ballistic flight, and whether it flew.
//
//   t_f = 2h / (u_z + sqrt(u_z^2 + 2 g h))
//   x   = x_outlet + (v + u_x) t_f      u_z = u cos(aim), u_x = u sin(aim), aim positive forward
//   aimed sideways too (about the direction of travel, positive away from the seed line):
//   u_z = u cos(aim) cos(side), u_x = u sin(aim) cos(side), u_y = u sin(side), y = u_y t_f
//   guided: the liquid runs down a surface of length l that points where the jet would, at the
//   guide's speed w in place of u, then falls the rest h' of h:
//   t_f = l/w + 2h'/(w_z + sqrt(w_z^2 + 2 g h')), h' = h - l w_z/w; a surface that reaches below
//   the floor ends there
//   dribble when u < sqrt(8 sigma / (rho d))   (the jet's momentum cannot lift it off the rim)
//
// Frame    unit: x along travel; ground: fixed to the field
// Errors   EXPECTS drop_height_m > 0, jet speed >= 0, bore and seed mass > 0, a guide's speed > 0
// Valid    no drag: a drop of 1.7 mm at 14 m/s loses below 1 % of its speed in 60 mm. No law of a
//          rivulet is at hand that holds from jet to film, so a guide's speed is an input; its
//          bounds are in model/furrow/guided_run.h. Every parcel takes the same time on the guide:
//          spreading along it is left out
// Source   uniform acceleration; jetting limit: momentum against surface tension, We = 8
// Checked  tests/published/jet_test.cc, tests/model/furrow/outlet_jet_test.cc
#pragma once

#include "model/row_params.h"

namespace model {

struct JetAim {
  double drop_height_m = 0.04;
  double aim_rad = 0.0;         // 0 straight down, positive forward
  double side_aim_rad = 0.0;    // positive away from the seed line
  double guide_length_m = 0.0;  // along the surface; 0: a free jet
  double guide_speed_mps = 0.0;
};

/// Where the jet points, as shares of its speed: found once for an aim that many parcels have.
struct JetDirection {
  double down_ratio = 1.0;
  double forward_ratio = 0.0;
  double side_cosine_ratio = 1.0;
  double side_ratio = 0.0;
};
JetDirection direction_of(const JetAim& aim);

double jet_flight_time_s(double jet_speed_mps, const JetAim& aim);
/// Distance along the ground from the outlet's place at departure to the landing place.
double jet_reach_m(double jet_speed_mps, double ground_speed_mps, const JetAim& aim);
/// The same, with the direction of the aim at hand.
double jet_reach_m(double jet_speed_mps, double ground_speed_mps, const JetAim& aim,
                   const JetDirection& direction);
/// Distance across the row from the outlet to the landing place, positive away from the seed line.
double jet_side_reach_m(double jet_speed_mps, const JetAim& aim);
double dribble_speed_mps(const Liquid& liquid, const Outlet& outlet);
/// Thrust of the jet, rho Q u, over the weight of a seed of the given mass.
double jet_thrust_over_seed_weight_ratio(const Liquid& liquid, const Outlet& outlet,
                                         double flow_m3ps, double seed_mass_kg);

}  // namespace model
