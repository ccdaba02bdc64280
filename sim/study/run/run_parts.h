// The parts of a run and how its progress is shared out among them, by simulated time: the delay
// table, the strip test where the scenario has one, the pass.
//
// Errors   none; no result sees any of this
// Checked  tests/sim/study/run/run_parts_test.cc
#pragma once

#include <string_view>

#include "sim/scenario/scenario.h"

namespace sim::run {

/// From which part of the whole run each of its parts begins; the table begins at 0.
struct RunParts {
  double strip_from_ratio = 0.0;
  double pass_from_ratio = 0.0;  // the same where there is no strip test
};
RunParts parts_of_run(const scenario::Scenario& scenario);

/// "delay table", "strip test" or "pass": what is under way when so much of the run is done.
std::string_view part_under_way(const RunParts& parts, double done_ratio);

}  // namespace sim::run
