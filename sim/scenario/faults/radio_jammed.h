// The radio between machine and rows is jammed: another sender drowns every frame of it.
//
// Checked  tests/sim/bench/network_faults_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct RadioJammed {
  static constexpr const char* kName = "radio_jammed";
  static constexpr const char* kHelp =
      "all frames of the radio between machine and rows are lost between from and until";
  static constexpr bool kOfMachine = true;
};
inline void describe(RadioJammed&, auto&) {}
inline void bend(const RadioJammed&, FrameSeam& seam) { seam.lost = true; }

}  // namespace sim::scenario
