// Zones of another rate along a pass, from the polygons of a prescription and the way of the
// machine's middle: [[rate.zone]] of a scenario (sim/scenario/rate_zones.h).
//
//   The way is a chain of pieces on which the machine goes evenly; each is cut where it crosses an
//   edge of a polygon, and what lies between two cuts is in the polygon that covers its middle.
//   Edges and pieces are straight in longitude and latitude, as RFC 7946 has it. All rows of the
//   machine enter a zone at once, and bands have the rate of the instant at which their opening is
//   commanded.
//
// Out      zones in order of time, none of them empty; outside the polygons rate.in_band holds
// Errors   InputError with file and feature: rings that cross themselves or each other, two
//          polygons of different rates at one place of the way
// Source   crossings, cover and validity by Boost.Geometry
// Checked  tests/sim/study/map/track_zones_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/study/map/prescription.h"

namespace sim::map {

/// From here to there, evenly.
struct WayPiece {
  double from_s = 0.0, until_s = 0.0;
  GeoPoint from, until;
};

std::vector<scenario::RateZone> zones_along(std::span<const RatePolygon> polygons,
                                            std::span<const WayPiece> way);
/// The zones as `--set` takes them: rate.zone=[{from = "1 s", ...}].
std::string zones_set(std::span<const scenario::RateZone> zones);

}  // namespace sim::map
