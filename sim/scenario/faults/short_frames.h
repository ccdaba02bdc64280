// A frame arrives cut short: a sender of another make, a buffer that ran over.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct ShortFrames {
  static constexpr const char* kName = "short_frames";
  static constexpr const char* kHelp =
      "frames between machine and row arrive with bytes missing at the end";
  double amount_ratio = 0.0;
};
inline void describe(ShortFrames& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the frames to and from each row that are affected");
}
inline void bend(const ShortFrames& fault, FrameSeam& seam) {
  if (seam.short_uniform_ratio < fault.amount_ratio) seam.cut = true;
}

}  // namespace sim::scenario
