// Frames between machine controller and row overtake each other, as in a buffer that is not a
// queue.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct ReorderedFrames {
  static constexpr const char* kName = "reordered_frames";
  static constexpr const char* kHelp =
      "frames between machine and row change places with the next one of their kind";
  double amount_ratio = 0.0;
};
inline void describe(ReorderedFrames& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the frames to and from each row that are affected");
}
inline void bend(const ReorderedFrames& fault, FrameSeam& seam) {
  if (seam.reordered_uniform_ratio < fault.amount_ratio) seam.reordered = true;
}

}  // namespace sim::scenario
