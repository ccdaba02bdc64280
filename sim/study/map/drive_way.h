// Where the machine's middle was at each whole second of a drive that a receiver recorded.
//
//   Between two fixes the place is linear in time. The direction is the receiver's course, and the
//   last one that it told where it tells none or goes slower than 0.5 m/s.
//
// In       the log as sim/scenario/nmea_log.h reads it; its first fix is the time 0 of the pass
// Frame    a plane that touches the earth at the first fix that has a place
// Errors   InputError with the log's name: fewer than two fixes with a place and a course, or the
//          seconds go on after the last fix
// Checked  tests/sim/study/map/drive_way_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/scenario/nmea_log.h"
#include "sim/study/map/local_plane.h"

namespace sim::map {

struct DrivePlace {
  PlanePoint place;
  double east_ratio = 0.0, north_ratio = 1.0;  // the direction, of length 1
};

struct DriveWay {
  LocalPlane plane;
  std::vector<DrivePlace> places;  // one more than seconds
};

/// `end_s`: where the last second ends, which may be a short one.
DriveWay drive_way(const scenario::NmeaDrive& drive, const std::string& log, std::size_t seconds,
                   double end_s);

}  // namespace sim::map
