// How long a bench waits for a worker that does not answer.
//
//   1 s of the worker's processor time, 1 s in which it sleeps, or 30 s of wall clock: an interrupt
//   takes microseconds. A worker that only waits for its turn on a busy machine is no fault
//
// Errors   none
// Checked  tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include <sys/types.h>

#include <cstdint>

namespace sim::bench {

class WorkerPatience {
 public:
  /// Looks at the worker; returns what it does wrong once that is sure, null: wait on. Called every
  /// 50 ms or less often. `process` 0: not started yet.
  const char* over(pid_t process);

 private:
  std::int64_t began_ns_ = -1;  // of the first look
  std::int64_t awake_ns_ = 0;   // when it was last seen to run or to wait for its turn
  std::int64_t first_cpu_ns_ = -1;
  std::int64_t last_cpu_ns_ = -1;
};

}  // namespace sim::bench
