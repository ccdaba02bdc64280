// Progress of long work on standard error: done, simulated time per second, time left. A person at
// a terminal sees one line that changes; a log gets a plain line every 10 s. The wall clock is used
// here and nowhere else: no result sees it.
//
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <chrono>
#include <string>

namespace sim::command {

/// What the work is expected to come to.
struct ExpectedWork {
  double row_s = 0.0;   // simulated row-seconds
  double wall_s = 0.0;  // until some of it is done, told by the usual pace; 0: not known
};

/// Time that is left after `spent_s`. Before a fiftieth of the work is done, what the usual pace
/// expects; not-a-number where that is used up, or not known.
double left_s(const ExpectedWork& work, double spent_s, double done_ratio, double found_ratio);

class Progress {
 public:
  /// `quiet` says nothing.
  Progress(std::string what, const ExpectedWork& work, bool quiet);
  ~Progress();
  /// found_ratio: the part of what is done that an earlier run had done.
  void at(double done_ratio, double found_ratio = 0.0);

 private:
  std::string what_;
  ExpectedWork work_;
  bool quiet_;
  bool terminal_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point start_, last_;
};

}  // namespace sim::command
