// The parts of a run and their shares of its progress, by simulated time: the delay table, the
// strip test if the scenario has one, the pass.
//
// Errors   none; no result depends on this
// Checked  tests/sim/study/run/run_parts_test.cc
#pragma once

#include <string_view>

#include "sim/scenario/scenario.h"

namespace sim::run {

/// The share of the whole run at which each part begins; the table begins at 0.
struct RunParts {
  double strip_from_ratio = 0.0;
  double pass_from_ratio = 0.0;  // equal to strip_from_ratio if there is no strip test
};
RunParts parts_of_run(const scenario::Scenario& scenario);

/// "delay table", "strip test" or "pass": the part that runs when `done_ratio` of the run is done.
std::string_view part_under_way(const RunParts& parts, double done_ratio);

}  // namespace sim::run
