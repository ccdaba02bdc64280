// Progress of long work on standard error: what is being done, how much of it is done, simulated
// time per second, time left. A person at a terminal sees one line that changes twice per second;
// a log gets a plain line every 10 s. Both go on while the work itself says nothing, as in a pass
// that counts only when it has ended. The wall clock is used here and nowhere else: no result sees
// it.
//
// Checked  tests/sim/command/command_test.cc, tests/sim/command/progress_test.cc
#pragma once

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>

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
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  /// found_ratio: the part of what is done that an earlier run had done. `doing` names the part of
  /// the work that is under way; empty: nothing to tell apart. From any thread.
  void at(double done_ratio, double found_ratio = 0.0, std::string_view doing = {});

 private:
  void tell_until_over();
  std::string line() const;

  std::string what_;
  ExpectedWork work_;
  bool terminal_;
  bool shown_ = false;
  std::chrono::steady_clock::time_point start_;
  std::mutex mutex_;
  std::condition_variable ended_;
  bool over_ = false;
  bool told_ = false;  // how much of it is done; else only how long it has been at work is known
  double done_ratio_ = 0.0, found_ratio_ = 0.0;
  std::string doing_;
  std::thread teller_;  // the last member: it sees all others
};

}  // namespace sim::command
