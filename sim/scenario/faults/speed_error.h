// The speed sensor reports that it has failed: its frames arrive with the error value as speed.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct SpeedError {
  static constexpr const char* kName = "speed_error";
  static constexpr const char* kHelp = "ground-based speed frames carry the error value (0xFE00)";
  static constexpr bool kOfMachine = true;
};
inline void describe(SpeedError&, auto&) {}
inline void bend(const SpeedError&, BusSeam& seam) { seam.speed_counts = 0xfe00; }

}  // namespace sim::scenario
