// The direction of travel is in error while the speed is good.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DirectionError {
  static constexpr const char* kName = "direction_error";
  static constexpr const char* kHelp = "the direction in ground-based speed frames says error (2)";
  static constexpr bool kOfMachine = true;
};
inline void describe(DirectionError&, auto&) {}
inline void bend(const DirectionError&, BusSeam& seam) { seam.direction = 2; }

}  // namespace sim::scenario
