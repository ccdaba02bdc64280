// The cells of a study before they run: the values of each cell, and its scenario.
//
// A group is a combination of the listed axes, the last of them varying fastest: one cell of a
// grid, or all samples drawn for that combination. Each sample has its own keys, so samples are
// independent of each other; the same sample of two groups has the same keys.
//
// Errors   InputError from a cell's scenario; for a draw that its key refuses, at the axis' line
// Checked  tests/sim/study/sweep/sweep_test.cc, tests/sim/study/sweep/sampled_sweep_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/sweep/study.h"

namespace sim::sweep {

struct CellPlan {
  std::vector<std::string> values;  // one for each axis
  std::size_t sample = 0;
  std::size_t group = 0;
  scenario::Scenario scenario;  // with the key of its first pass
};

std::size_t group_count(const Study& study);
/// One value for each axis, empty if the axis is drawn.
std::vector<std::string> group_values(const Study& study, std::size_t group);
/// The cells of one batch of a group: one for a grid, otherwise `samples`.
std::vector<CellPlan> batch_cells(const Study& study, std::size_t group, std::size_t batch);
/// Number of batches of samples that may run; 1 for a grid.
std::size_t most_batches(const Study& study);
/// Largest number of passes of one cell.
int most_passes(const Study& study);
/// Key of pass `index` of a sample.
std::uint64_t pass_key(const Study& study, std::size_t sample, std::size_t index);

/// Number of cells that may run, the same for each group.
std::size_t cell_count(const Study& study);

/// Scenarios of some cells, from which the work of all is estimated; in the order of the results.
struct LookedAt {
  std::vector<std::size_t> groups;  // group of each scenario
  std::vector<scenario::Scenario> scenarios;
};
/// All cells if there are no more than `most`; otherwise the corners of the grid, where a
/// combination is most likely to fail, and `most` cells spread evenly over it, always the same
/// ones.
LookedAt look_at_cells(const Study& study, std::size_t most);

/// Loads every cell once, on all cores, so that a cell that cannot run is refused before anything
/// has run; of several the first is reported. `on_progress` may be called from any thread.
/// Errors   InputError from a cell's scenario; Interrupted
void judge_cells(const Study& study, const std::atomic<bool>& stop,
                 const std::function<void(double done_ratio)>& on_progress);

}  // namespace sim::sweep
