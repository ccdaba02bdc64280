// What a map says of itself: map.json beside its files, and the lines on the terminal.
//
// Errors   none
// Checked  tests/sim/study/map/map_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/study/map/map.h"

namespace sim::map {

std::string map_json(const KeptRun& run, const FieldPlace& place, const MapTotals& totals);
/// The sentence first, then a line per fact.
std::vector<std::string> map_lines(const KeptRun& run, const FieldPlace& place,
                                   const MapTotals& totals, output::Units units);

}  // namespace sim::map
