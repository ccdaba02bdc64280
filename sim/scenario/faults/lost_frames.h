// Frames between machine controller and row are lost: a loose plug, a busy network.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LostFrames {
  static constexpr const char* kName = "lost_frames";
  static constexpr const char* kHelp = "frames between machine and row are lost";
  double amount_ratio = 0.0;
};
inline void describe(LostFrames& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the frames to and from each row that are affected");
}
inline void bend(const LostFrames& fault, FrameSeam& seam) {
  if (seam.lost_uniform_ratio < fault.amount_ratio) seam.lost = true;
}

}  // namespace sim::scenario
