// The way of the machine's middle over the earth, as a scenario states it before any pass has run:
// for laying a prescription under it.
//
//   A recorded drive goes from fix to fix (drive_way.h), evenly within each second. Any other drive
//   lies in a laid field (laid_field.h), in pieces of a tenth of a second: at 1 m/s2 a border that
//   was cut on such a piece is within 1.3 mm.
//
//   Without `duration` a pass ends when its seeds lie; the way goes on for two seconds after the
//   machine has passed the last one.
//
// Errors   InputError: as drive_way.h; a length of passes for a way that is not straight
// Checked  tests/sim/study/map/machine_way_test.cc
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/nmea_log.h"
#include "sim/scenario/scenario.h"
#include "sim/study/map/laid_field.h"
#include "sim/study/map/track_zones.h"

namespace sim::map {

std::vector<WayPiece> laid_way(const scenario::Scenario& scenario, const FieldLayout& layout);
std::vector<WayPiece> logged_way(const scenario::Scenario& scenario,
                                 const scenario::NmeaDrive& drive, const std::string& log);

}  // namespace sim::map
