// The delay table of a scenario, tuned once in a process: a pass and the strip test before it, and
// the passes of a cell, rest on the same table.
//
//   A table does not depend on random keys, number of seeds, duration, requirements or on how the
//   machine travels beyond its judged speed, so scenarios that differ in nothing else share one.
//
// Errors   as tune()
// Checked  tests/sim/study/tune/tune_once_test.cc
#pragma once

#include "sim/study/tune/tune.h"

namespace sim::tune {

TunedTable tune_once(const scenario::Scenario& scenario);

}  // namespace sim::tune
