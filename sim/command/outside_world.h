// Chance, clock and environment: they decide which passes run, never what a pass gives.
//
// Errors   none
// Checked  tests/sim/command/check_command_test.cc
#pragma once

#include <chrono>
#include <cstdint>

namespace sim::command {

class Stopwatch {
 public:
  double spent_s() const {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

/// Processor time of this program and of the processes that it has started and seen end.
class ProcessorTime {
 public:
  ProcessorTime();
  double spent_s() const;

 private:
  double start_s_;
};

/// A number that nobody chose, for fresh keys; whoever takes it tells it.
std::uint64_t fresh_number();
/// CI=true, as CI servers say it.
bool runs_in_ci();
/// Number of processes that a launcher of parallel programs started with this one: 1 without a
/// launcher, 0 if there is one and it does not say how many.
int launched_processes();

}  // namespace sim::command
