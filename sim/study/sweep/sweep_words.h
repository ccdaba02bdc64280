// The words of a sweep's headline, map, table and terminal about its cells: each figure is worded
// once, here, so that no two of them can differ.
//
//   A cell's figures are over all its passes. The headline names the cell with the lowest share,
//   because a person has to look at it first, whichever cell the report draws.
//
// Checked  tests/sim/study/sweep/sweep_words_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/run/report.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

/// "holds", "violated", "wrong seed", "no data", "no requirement", "failed" or "not servable".
const char* cell_word(const SweepCell& cell);
/// Whether its passes ran and a requirement is violated; without requirements, whether the goal is
/// missed.
bool is_violated(const SweepCell& cell);
/// The requirements that are violated in this cell by metric or statement, each once.
std::vector<std::string> violated_names(const SweepCell& cell);
/// The word for the cell, followed by what is violated: "violated: gap_ratio, dose_mean".
std::string cell_verdict(const SweepCell& cell);
/// What is violated, one word each, for a narrow place: "dose, length".
std::string violated_in_short(const SweepCell& cell);
/// The cell's values in the reader's units, one for each axis.
std::vector<std::string> cell_labels(const SweepResult& result, const SweepCell& cell,
                                     output::Units units);
/// "16 km/h, 0.15 m"; "the only cell" without axes.
std::string cell_values_words(const SweepResult& result, const SweepCell& cell,
                              output::Units units);

/// Numbers of cells by their outcome.
struct CellCounts {
  std::size_t cells = 0, hold = 0, violated = 0, no_data = 0, not_servable = 0, failed = 0;
  std::size_t unservable_required = 0;  // of not_servable: those with requirements
};
CellCounts count_cells(const std::vector<SweepCell>& cells);
/// The served cell with the lowest share of sensed seeds within 10 mm; null if no cell was served.
const SweepCell* lowest_cell(const SweepResult& result);

/// "93.0 % of sensed seeds within 10 mm in the worst of 9 cells (swan neck, 16 km/h); ..."
std::string sweep_sentence(const SweepResult& result, output::Units units);
/// How much further scatter below the sensor the cells that reach the goal tolerate, from the
/// tightest to the widest cell.
std::string sweep_margin_sentence(const SweepResult& result, output::Units units);

}  // namespace sim::sweep
