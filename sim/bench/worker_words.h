// What ended a worker, in words for a person: "ended its process with exit code 0".
//
// In       what the worker said before its end, and how its parent saw it end
// Errors   none
// Checked  tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include <string>

#include "sim/bench/worker_exchange.h"

namespace sim::bench {

std::string worker_fault_words(const WorkerAnswered& said, const WorkerWatched& watched);

}  // namespace sim::bench
