// Frames between machine controller and row arrive late, as over a network that retries.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LateFrames {
  static constexpr const char* kName = "late_frames";
  static constexpr const char* kHelp =
      "frames between machine and row arrive late, by whole slots of 10 ms";
  double by_s = 0.0;
  double amount_ratio = 0.0;
};
inline void describe(LateFrames& fault, auto& field) {
  field("by", fault.by_s, "delay of each affected frame");
  field("amount", fault.amount_ratio, "share of the frames to and from each row that are affected");
}
inline void bend(const LateFrames& fault, FrameSeam& seam) {
  if (seam.late_uniform_ratio < fault.amount_ratio) seam.late_s += fault.by_s;
}

}  // namespace sim::scenario
