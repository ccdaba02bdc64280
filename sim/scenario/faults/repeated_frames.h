// Frames between machine controller and row arrive twice: a sender that missed the acknowledgement.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct RepeatedFrames {
  static constexpr const char* kName = "repeated_frames";
  static constexpr const char* kHelp = "frames between machine and row arrive twice";
  double amount_ratio = 0.0;
};
inline void describe(RepeatedFrames& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the frames to and from each row that are affected");
}
inline void bend(const RepeatedFrames& fault, FrameSeam& seam) {
  if (seam.repeated_uniform_ratio < fault.amount_ratio) seam.repeated = true;
}

}  // namespace sim::scenario
