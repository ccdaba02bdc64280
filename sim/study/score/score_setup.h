// What scoring a held recording and scoring one in parts have in common: the set-up around the
// recorded controller, and the recording moved into bench time.
//
// Errors   InputError of a set-up that cannot be served
// Checked  tests/sim/study/score/score_test.cc
#pragma once

#include <vector>

#include "sim/bench/played.h"
#include "sim/study/score/score.h"

namespace sim::score {

/// Fills in scenario, tuned table and what is not judged.
void set_up(const scenario::Scenario& setup, std::size_t rows, Score& score);
bench::Played played_with(const Score& score, const ScoreOptions& options);

/// Leaves out the edges and drives before `start_s` of the recording, and moves the others.
class Moved {
 public:
  Moved(double start_s, double later_s) : start_s_(start_s), later_s_(later_s) {}
  /// Parts of one row, in order.
  void take(bench::PlayedPart& part);

 private:
  double start_s_, later_s_;
  int seeds_ = 0;
  bool left_out_ = false;  // the drive that is on was left out
};

/// How much later bench time is where the first edge comes at `first_s`; InputError: there is none.
double later_than_recorded_s(double first_s, double lasts_s, const std::vector<std::string>& doubts,
                             const ScoreOptions& options);
double fastest_mps(const scenario::Scenario& scenario);

}  // namespace sim::score
