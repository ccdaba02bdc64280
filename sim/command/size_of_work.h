// How much work a scenario or study is, for --dry-run and for progress: measured on this machine
// (machine_pace.h).
//
// Errors   none
// Checked  tests/sim/command/command_test.cc, tests/sim/command/machine_pace_test.cc
#pragma once

#include <filesystem>
#include <vector>

#include "sim/command/machine_pace.h"
#include "sim/study/sweep/study.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::command {

void print_size_of_run(const scenario::Scenario& scenario, const std::filesystem::path& out);
void print_size_of_budget(const scenario::Scenario& scenario, int orders,
                          const std::filesystem::path& out);
void print_size_of_sweep(const sweep::Study& study, const std::filesystem::path& out);

/// Of more cells than this a part is looked at, so that a plan of any size is told at once.
inline constexpr std::size_t kMostLookedAt = 512;

/// What a sweep may come to at most, by the cells that were looked at.
struct SweepWork {
  double row_s = 0.0;                // simulated row-seconds
  double processor_s = 0.0;          // of tunings, passes and the pass that is shown
  double seeds = 0.0;                // tidy: unit none
  std::vector<double> group_work_s;  // of each combination of the listed axes; empty: all the same
};
SweepWork work_of(const sweep::Study& study, const sweep::LookedAt& cells, const Pace& pace);

}  // namespace sim::command
