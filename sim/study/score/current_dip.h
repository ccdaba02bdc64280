// When a valve's plunger came to its stop, read from the current of its coil alone.
//
//   dip      a plunger that moves induces a voltage against the drive: the current falls, or its
//            rise slackens, until the plunger stands at its stop; there the current rises again.
//            That corner is looked for as the firmware looks for it (controller/opening_seen.h):
//            the slope after it is at least four times the slope before it
//   slopes   straight lines by least squares through the samples of 0.15 ms before and after, at
//            least three of each; where they meet is the instant
//   found    the first corner whose change of slope is at least half of the pulse's largest, the
//            best sample of it. A change below 2 % of the pulse's largest current per 0.1 ms, or
//            below 6 standard deviations of the samples' own scatter, is no corner
//   A pulse is searched from its command until its end, at most for 12 ms.
//
// In       A, s          Out   s; to about a tenth of a sample's distance
// Valid    samples at most 0.15 ms apart; of coarser ones nothing is seen
// Source   as controller/opening_seen.h: common practice; segmented regression, textbook. Sizes are
//          ours
// Checked  tests/sim/study/score/current_test.cc
#pragma once

#include <vector>

#include "sim/study/score/capture.h"

namespace sim::score {

/// Samples that are further apart show no dip.
inline constexpr double kCoarsest_s = 0.15e-3;

class CurrentDip {
 public:
  void begin(double command_s);
  void take(double current_a, double at_s);
  SeenOpening end(double off_s);
  bool samples_seen() const { return last_s_ > 0.0 || !samples_.empty(); }
  /// Between two samples: the shortest while a valve was driven; 0: fewer than two.
  double step_s() const { return step_s_; }

 private:
  struct Sample {
    double at_s = 0.0, current_a = 0.0;
  };
  double stop_s() const;

  bool driven_ = false;
  double command_s_ = 0.0;
  double last_s_ = 0.0;
  double step_s_ = 0.0;
  std::vector<Sample> samples_;  // of the pulse under way
};

}  // namespace sim::score
