// The plots of a sweep: maps of its cells over two axes, and samples over a drawn axis. Like every
// plot of the program they have a title and a description for people who do not see them, axes with
// units, and words or shapes wherever they use colours.
//
// Checked  tests/sim/study/run/report_test.cc, tests/sim/output/plot_words_test.cc
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

/// One map of a sweep's cells over two axes. If there are more axes, each pair of quantities with
/// two values or more has a map of the worst cell over the other quantities and, if the study names
/// values to show, a map at these values; each choice of words (an attachment) has maps of its own.
struct CellMap {
  std::string heading;             // the pair and how the other axes are treated, or empty
  std::size_t across = 0;          // index of the axis drawn from left to right
  std::size_t up = 0;              // axis drawn from bottom to top; `across` if there is one axis
  std::vector<std::size_t> cells;  // by row from the bottom, then from the left
};
/// None for a sweep over samples, which has response_svg.
std::vector<CellMap> cell_maps(const SweepResult& result);
std::string cell_map_svg(const SweepResult& result, const CellMap& map, std::size_t number,
                         output::Units units);

/// The samples of one group over one drawn axis.
std::string response_svg(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                         std::size_t number, output::Units units);

/// An axis in words: "travel.speed" is "ground speed"; a key without words is returned as it is.
std::string axis_words(const std::string& key);
/// A value of an axis in the reader's units, if it is a quantity that has such units.
std::string axis_label(const std::string& key, const std::string& value, output::Units units);

}  // namespace sim::sweep
