// The delay table of a scenario, tuned once per process: a pass and the strip test before it, the
// passes of a cell, and cells that do not differ in an input of the table share one. With a keeper
// (sim/study/tune/keeper.h) a table that was tuned before is looked up.
//
//   A table does not depend on random keys, number of seeds, duration, requirements, faults, noise,
//   clocks, sensors, strip test or number of rows, nor on the travel apart from its judged speed,
//   so scenarios that differ only in these share one.
//
// Errors   as tune()
// Checked  tests/sim/study/tune/tune_once_test.cc
#pragma once

#include <functional>

#include "sim/study/tune/tune.h"

namespace sim::tune {

TunedTable tune_once(const scenario::Scenario& scenario, const TableSpan& span = {},
                     const std::function<void(double done_ratio)>& on_progress = {});

}  // namespace sim::tune
