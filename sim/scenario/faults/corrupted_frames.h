// A bit of a frame flips and no check sum of the link detects it.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct CorruptedFrames {
  static constexpr const char* kName = "corrupted_frames";
  static constexpr const char* kHelp =
      "one bit in each affected frame between machine and row is flipped";
  double amount_ratio = 0.0;
};
inline void describe(CorruptedFrames& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the frames to and from each row that are affected");
}
inline void bend(const CorruptedFrames& fault, FrameSeam& seam) {
  if (seam.corrupted_uniform_ratio < fault.amount_ratio) seam.corrupted = true;
}

}  // namespace sim::scenario
