// How the machine moves: speed and yaw rate linear between knots (a repeated time is a step),
// places by exact integration.
//
//   v_row = v - omega y      y positive to the right, omega positive for a right-hand (clockwise)
//   turn: in a left turn the right-hand rows go faster. x_row is the distance that the row has gone
//   along its own track. Before the first knot and after the last the values are held; x_row = 0 at
//   time 0, whatever the first knot's time.
//
// Frame    ground, along each row's own track, origin at run start
// State    none: pure functions over the table
// Errors   make_travel throws std::invalid_argument on decreasing times, an empty table or
//          numbers that are not finite
// Checked  tests/model/machine/travel_test.cc
#pragma once

#include <vector>

namespace model {

struct TravelKnot {
  double time_s = 0.0;
  double speed_mps = 0.0;
  double yaw_rate_radps = 0.0;
};

struct Travel {
  std::vector<TravelKnot> knots;
  std::vector<double> distance_m;  // of the reference point, at each knot
  std::vector<double> turned_rad;  // heading change, at each knot
  // Rows with |y| up to this never run backwards, so places along them may be searched by halving;
  // negative: none.
  double forward_reach_m = -1.0;
};

struct RowMotion {
  double x_ground_m = 0.0;
  double speed_mps = 0.0;
};

Travel make_travel(std::vector<TravelKnot> knots);
/// Speed and yaw rate of the reference point; at a step the values after it.
TravelKnot motion_at(const Travel& travel, double time_s);
double turned_rad(const Travel& travel, double time_s);  // heading change since time 0
RowMotion row_motion_at(const Travel& travel, double y_unit_m, double time_s);
/// Whether this row never runs backwards.
bool runs_forward(const Travel& travel, double y_unit_m);
/// The row's motion as straight motion, with every backward stretch replaced by standing still: its
/// place at y = 0 is the distance gone forwards since time 0.
Travel forward_part(const Travel& travel, double y_unit_m);
/// First time at which the row has reached x; not-a-number if it never does. The search starts at
/// time 0, or at the first knot if that is earlier; a place behind that start was reached at the
/// speed held before it, if that speed was forward.
double time_at_row_x_s(const Travel& travel, double y_unit_m, double x_ground_m);

}  // namespace model
