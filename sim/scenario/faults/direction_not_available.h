// The direction of travel is not known while the speed is good.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DirectionNotAvailable {
  static constexpr const char* kName = "direction_not_available";
  static constexpr const char* kHelp =
      "the direction in ground-based speed frames says not available (3)";
  static constexpr bool kOfMachine = true;
};
inline void describe(DirectionNotAvailable&, auto&) {}
inline void bend(const DirectionNotAvailable&, BusSeam& seam) { seam.direction = 3; }

}  // namespace sim::scenario
