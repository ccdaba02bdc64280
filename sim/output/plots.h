// The plots of the report, one file each: plots_*.cc. Every plot has a title and a description for
// those who do not see it, axes with units, and words or shapes wherever it has colours.
//
// Checked  tests/sim/report_test.cc
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "sim/output/report.h"
#include "sim/output/svg.h"

namespace sim {

/// Placement error over the seed's number, a strip a row, with the tolerance band. Single seeds up
/// to some thousands, beyond that the 5 to 95 % envelope; seeds outside the tolerance stand singly.
std::string error_by_seed_svg(const RunResult& result, Units units);

/// Spread of the error in each row: 5 to 95 % and 25 to 75 % as lines, the median as a mark.
std::string error_by_row_svg(const RunResult& result, Units units);

/// A stretch of furrow to scale along the row: line density, wanted bands, seeds.
struct FurrowPicture {
  Drawing drawing;
  std::string title;
  std::string desc;
};
FurrowPicture furrow_picture(const RunResult& result, Units units);

/// One pulse: command, current, lift, flow at valve and outlet over one time axis.
std::string pulse_svg(const RunResult& result, Units units);

/// One field of a sweep's cells over two axes. Where there are more, each pair of quantities with
/// two values or more has a map at the values that the study shows, where it names them, and a map
/// of the worst cell over the other quantities; each choice of words (an attachment) has its own.
struct CellMap {
  std::string heading;             // the pair and what is done about the other axes, or empty
  std::size_t across = 0;          // index of the axis drawn from left to right
  std::size_t up = 0;              // and from bottom to top; equal to `across` when there is one
  std::vector<std::size_t> cells;  // by row from the bottom, then from the left
};
/// None of a sweep over samples: those have response_svg.
std::vector<CellMap> cell_maps(const SweepResult& result);
std::string cell_map_svg(const SweepResult& result, const CellMap& map, std::size_t number,
                         Units units);

/// Samples of one group over one drawn axis.
std::string response_svg(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                         std::size_t number, Units units);

/// Values of one share of a sorted list, linear between neighbours; not-a-number when empty.
double sorted_quantile_m(const std::vector<double>& sorted_m, double share_ratio);
/// An axis in words: "travel.speed" is "ground speed"; a key without words stays as it is.
std::string axis_words(const std::string& key);
/// A value of an axis in the reader's units where it is a quantity that has them.
std::string axis_label(const std::string& key, const std::string& value, Units units);

}  // namespace sim
