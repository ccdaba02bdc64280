// A field of straight passes, laid where no log says where a pass was driven: an invented place.
//
//   The machine's middle sets out at the origin in the direction of the heading. With a length of
//   passes its way is cut into pieces of that length, which lie side by side, one machine's width
//   apart to the right, and are driven to and fro. Turns take no time and lay nothing: the pass
//   that was simulated had none.
//
// Frame    place before laying: metres to the right of the start's direction (east) and ahead
//          (north)
// Errors   none
// Checked  tests/sim/study/map/laid_field_test.cc
#pragma once

#include "sim/study/map/local_plane.h"

namespace sim::map {

/// In the Atlantic, so that nobody takes an invented field for one of theirs.
inline constexpr GeoPoint kInventedOrigin{30.0, -40.0};

struct FieldLayout {
  GeoPoint origin = kInventedOrigin;
  double heading_deg = 0.0;    // from north to the east
  double pass_length_m = 0.0;  // 0: one pass, however long
};

class LaidField {
 public:
  LaidField(const FieldLayout& layout, double machine_width_m);
  /// Which pass a distance from the start is in, counted from 0.
  long long pass_of(double ahead_m) const;
  GeoPoint at(const PlanePoint& place, long long pass) const;

 private:
  LocalPlane plane_;
  double pass_length_m_;
  double machine_width_m_;
  double east_ratio_, north_ratio_;  // of the heading
};

}  // namespace sim::map
