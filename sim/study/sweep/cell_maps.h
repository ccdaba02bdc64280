// The plots of a sweep: maps of its cells over two axes, and samples over a drawn axis. As every
// plot of ours they have a title and a description for those who do not see them, axes with units,
// and words or shapes wherever they have colours.
//
// Checked  tests/sim/study/run/report_test.cc, tests/sim/output/plot_words_test.cc
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

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
                         output::Units units);

/// Samples of one group over one drawn axis.
std::string response_svg(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                         std::size_t number, output::Units units);

/// An axis in words: "travel.speed" is "ground speed"; a key without words stays as it is.
std::string axis_words(const std::string& key);
/// A value of an axis in the reader's units where it is a quantity that has them.
std::string axis_label(const std::string& key, const std::string& value, output::Units units);

}  // namespace sim::sweep
