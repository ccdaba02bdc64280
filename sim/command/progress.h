// Progress of long work on standard error: done, simulated time per second, time left. A person at
// a terminal sees one line that changes; a log gets a plain line every 10 s. The wall clock is used
// here and nowhere else: no result sees it.
//
// Checked  tests/sim/command_test.cc
#pragma once

#include <chrono>
#include <string>

namespace sim {

class Progress {
 public:
  /// total_row_s: simulated row-seconds that the work will take; `quiet` says nothing.
  Progress(std::string what, double total_row_s, bool quiet);
  ~Progress();
  void at(double done_ratio);

 private:
  std::string what_;
  double total_row_s_;
  bool quiet_;
  bool terminal_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point start_, last_;
};

}  // namespace sim
