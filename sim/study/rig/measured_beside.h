// What a rig run misses of the measurement that its setup names, column by column.
//
//   difference   model minus measured at every measured instant inside the record; the model is
//                interpolated linearly between recorded instants
//   rms          root of the mean square of these differences
//
// Errors   none; without a point inside the record the figures are not-a-number
// Checked  tests/sim/study/rig/measured_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/output/html.h"
#include "sim/study/rig/rig.h"

namespace sim::rig {

struct MeasuredDifference {
  const RigColumn* history = nullptr;
  std::size_t points = 0;   // inside the record
  std::size_t outside = 0;  // before or after it
  double highest_si = 0.0;  // tidy: unit is the column's; largest measured size inside
  double rms_si = 0.0;      // tidy: unit is the column's
  double largest_si = 0.0;  // tidy: unit is the column's; with its sign
  double largest_at_s = 0.0;
};

/// Empty where the setup names no measurement.
std::vector<MeasuredDifference> measured_differences(const RigResult& result);
/// A line for each column, for the terminal.
std::string measured_words(const RigResult& result, output::Units units);
output::Table measured_table(const RigResult& result, output::Units units);

}  // namespace sim::rig
