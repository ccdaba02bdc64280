// The worker's side of a pass: what runs in the process of the controllers.
//
//   load the library -> answer questions until it is told to end; the inputs lie in memory that it
//   cannot write, each controller's block in pages of its own, each call's input and output before
//   a page that nobody may touch
//
// Errors   none leave it: a fault is written into the exchange and ends the process
// Checked  tests/sim/bench/apart_host_test.cc, tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include "sim/bench/worker_exchange.h"

namespace sim::bench {

/// Never returns. `printed`: a file that takes what the controller prints.
[[noreturn]] void run_worker(const WorkerExchange& exchange, int printed);

}  // namespace sim::bench
