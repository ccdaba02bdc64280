// --live of `run`: a pass at the pace of the clock, with one line per second of it.
//
//   pace   0: as fast as it goes; N: N seconds of the pass per second of the clock, or less where
//          the machine is not fast enough, and the line says so
//
// The wall clock delays a pass and shows its pace; no result sees it.
// Errors   none
// Checked  tests/sim/command/live_pass_test.cc
#pragma once

#include <atomic>
#include <chrono>
#include <cstdio>
#include <functional>
#include <string>

#include "sim/bench/pass.h"
#include "sim/output/shown_units.h"

namespace sim::command {

/// "   12 s  16.0 km/h  8 rows: 238 seeds, 237 pulses, 9.10 l/min at 1.62 bar": what happened in
/// the last second.
std::string live_line(const bench::LiveSecond& second, output::Units units);

class LivePass {
 public:
  /// Lines go to `to`.
  LivePass(int pace, output::Units units, std::FILE* to, const std::atomic<bool>& stop)
      : pace_(pace), units_(units), to_(to), stop_(stop) {}
  /// Writes the line of a second and waits until its time has come.
  void second(const bench::LiveSecond& second);
  /// What a pass calls; empty where the pace is below 0: nothing is shown.
  std::function<void(const bench::LiveSecond&)> of_pass() {
    if (pace_ < 0) return {};
    return [this](const bench::LiveSecond& over) { second(over); };
  }

 private:
  int pace_;
  output::Units units_;
  std::FILE* to_;
  const std::atomic<bool>& stop_;
  // What came before the pass takes time too: the clock starts with the first second that is over.
  std::chrono::steady_clock::time_point start_{};
  double first_s_ = -1.0;
};

}  // namespace sim::command
