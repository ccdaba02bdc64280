// The way of one row over the field, from where it was at each whole second: a smooth curve through
// those places, on which a band is found by its distance along the row.
//
//   Between two seconds the curve is a cubic (Hermite) whose tangents have the length of the way
//   between them. The tangent at a place has the direction from the place before to the one after,
//   which on a circle is the exact one. A straight way is exact. On a circle of radius R the curve
//   leaves the arc by R a^4 / 384 at most, with a the angle of the arc of one second: 1 mm at 10 m
//   and 4.4 m/s.
//
// Frame    the field's plane: metres east and north
// Errors   none: a band ahead of the last place or behind the first lies on the tangent there
// Source   the cubic's error: its fourth derivative over 384, textbook
// Checked  tests/sim/study/map/row_track_test.cc
#pragma once

#include <cstddef>
#include <vector>

#include "sim/study/map/local_plane.h"

namespace sim::map {

/// Where a row is at a whole second, and how far it has come along its own track.
struct TrackPoint {
  PlanePoint place;
  double way_m = 0.0;
};

class RowTrack {
 public:
  explicit RowTrack(std::vector<TrackPoint> points);  // at least one

  /// The place at a distance along the row. `second`: about when the row was there; the search
  /// begins at it, so that a row which runs backwards for a while is found in the right place.
  PlanePoint at(double x_ground_m, std::size_t second) const;
  const TrackPoint& point(std::size_t second) const { return points_[second]; }
  std::size_t seconds() const { return points_.size() - 1; }

 private:
  void make_tangents();

  std::vector<TrackPoint> points_;
  std::vector<PlanePoint> tangents_;  // of length 1
};

}  // namespace sim::map
