// The cells of a study before they run: which values each has, and its scenario.
//
// A group is a combination of the listed axes, the last of them fastest: one cell of a grid, or all
// samples drawn at that combination. Sample s runs with keys of its own, so samples are independent
// of each other; the same sample of two groups runs with the same keys.
//
// Errors   InputError from a cell's scenario; a draw that its key refuses, at the axis' line
// Checked  tests/sim/sweep_test.cc, tests/sim/sampled_sweep_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"

namespace sim {

struct CellPlan {
  std::vector<std::string> values;  // one for each axis
  std::size_t sample = 0;
  std::size_t group = 0;
  Scenario scenario;  // with the key of its first pass
};

std::size_t group_count(const Study& study);
/// One value for each axis, empty where it is drawn.
std::vector<std::string> group_values(const Study& study, std::size_t group);
/// The cells of one batch of a group: one of a grid, else `samples`.
std::vector<CellPlan> batch_cells(const Study& study, std::size_t group, std::size_t batch);
/// Batches of samples that may run, 1 of a grid.
std::size_t most_batches(const Study& study);
/// Passes that one cell may take.
int most_passes(const Study& study);
/// Key of pass `index` of a sample.
std::uint64_t pass_key(const Study& study, std::size_t sample, std::size_t index);

/// Every cell that may run, in the order of the results: of each group as many.
std::vector<Scenario> cell_scenarios(const Study& study);

}  // namespace sim
