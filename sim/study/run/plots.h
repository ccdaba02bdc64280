// The plots of the report, one file each: plots_*.cc. Every plot has a title and a description for
// people who do not see it, axes with units, and words or shapes wherever it uses colours.
//
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "sim/output/svg.h"
#include "sim/study/run/report.h"

namespace sim::run {

/// Placement error over the seed's number, one strip per row, with the tolerance band. Up to some
/// thousands of seeds each has a mark, beyond that the 5 to 95 % envelope is drawn; seeds outside
/// the tolerance have marks of their own in both.
std::string error_by_seed_svg(const RunResult& result, output::Units units);

/// Spread of the error in each row: 5 to 95 % and 25 to 75 % as lines, the median as a mark.
std::string error_by_row_svg(const RunResult& result, output::Units units);

/// A stretch of furrow, to scale along the row: line density, wanted bands, seeds.
struct FurrowPicture {
  output::Drawing drawing;
  std::string title;
  std::string desc;
};
FurrowPicture furrow_picture(const RunResult& result, output::Units units);

/// One pulse: command, current, lift, flow at valve and outlet over one time axis.
std::string pulse_svg(const RunResult& result, output::Units units);

/// Quantile of a sorted list, linear between neighbours; not-a-number when empty.
double sorted_quantile_m(const std::vector<double>& sorted_m, double share_ratio);
}  // namespace sim::run
