// What the page draws of a pass: the cells of every second of every row, and the bands of a stretch
// of time, on a plane in metres. JSON in SI, as every table.
//
// Frame    east and north of where the machine's middle began
// Errors   InputError: more cells or bands than a browser draws; the message says what to do
// Checked  tests/sim/study/map/map_view_test.cc
#pragma once

#include <atomic>
#include <string>

#include "sim/study/map/field_place.h"
#include "sim/study/map/kept_run.h"

namespace sim::map {

inline constexpr std::size_t kMostCells = 60'000;
inline constexpr std::size_t kMostBands = 6'000;

/// The length of passes with which a straight pass becomes a field twice as long as it is wide; 0
/// for a pass that is no longer than that already.
double usual_pass_length_m(const KeptRun& run);

/// `pass_length_m`: with which the field was laid; 0: it was not cut. `explain`: the command line
/// that shows a seed of the pass, but for --row and --seed.
std::string cells_json(const KeptRun& run, const FieldPlace& place, double pass_length_m,
                       const std::string& explain);
/// The bands that were opened from `from_s` on and before `until_s`.
std::string bands_json(const KeptRun& run, const FieldPlace& place, double from_s, double until_s,
                       const std::atomic<bool>* stop = nullptr);

}  // namespace sim::map
