// The tractor has no ground-based speed: its frames arrive with "not available" as speed.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct SpeedNotAvailable {
  static constexpr const char* kName = "speed_not_available";
  static constexpr const char* kHelp = "ground-based speed frames carry \"not available\" (0xFFFF)";
  static constexpr bool kOfMachine = true;
};
inline void describe(SpeedNotAvailable&, auto&) {}
inline void bend(const SpeedNotAvailable&, BusSeam& seam) { seam.speed_counts = 0xffff; }

}  // namespace sim::scenario
