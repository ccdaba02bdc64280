// The process from which all workers are forked: small, single-threaded, started before the bench
// has threads, files or results, so that a worker begins with nothing of the bench in it.
//
//   It forks a worker when asked, kills one when asked, says how each ended, and ends with the
//   bench. What a worker leaves running in its process group is killed with it.
//
// State    one for this process, started at the first call
// Errors   std::runtime_error where the system gives no process
// Checked  tests/sim/bench/apart_host_test.cc
#pragma once

#include <cstdint>

namespace sim::bench {

/// Starts the parent unless it runs already. Best called before any thread starts.
void start_worker_parent();
/// Asks for a worker over the exchange in the memory file; `printed` takes what it prints. Both
/// files stay the caller's. Returns a name for kill_worker.
std::uint32_t spawn_worker(int exchange_file, int printed);
void kill_worker(std::uint32_t name);

}  // namespace sim::bench
