// The delay table of a scenario, tuned once in a process: a pass and the strip test before it, the
// passes of a cell, and cells that differ in nothing that a table rests on share one. A command
// that keeps what it found (sim/study/tune/keeper.h) takes it from there.
//
//   A table does not depend on random keys, number of seeds, duration, requirements, faults, noise,
//   clocks, sensors, strip test or number of rows, nor on how the machine travels beyond its judged
//   speed, so scenarios that differ in nothing else share one.
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
