// How much work a scenario or study is, for --dry-run and for progress: measured on this machine
// (machine_pace.h).
//
// Errors   none
// Checked  tests/sim/command_test.cc, tests/sim/machine_pace_test.cc
#pragma once

#include <filesystem>
#include <vector>

#include "sim/command/machine_pace.h"
#include "sim/scenario/loader.h"

namespace sim {

void print_size_of_run(const Scenario& scenario, const std::filesystem::path& out);
void print_size_of_budget(const Scenario& scenario, int orders, const std::filesystem::path& out);
void print_size_of_sweep(const Study& study, const std::filesystem::path& out);

/// What a sweep may come to at most, its cells looked at once.
struct SweepWork {
  double row_s = 0.0;                // simulated row-seconds
  double processor_s = 0.0;          // of tunings, passes and the pass that is shown
  std::vector<double> group_work_s;  // of each combination of the listed axes
};
SweepWork work_of(const Study& study, const std::vector<Scenario>& cells, const Pace& pace);

}  // namespace sim
