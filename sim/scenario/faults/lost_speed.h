// No ground speed reaches the controller: the bus is silent from `from` to `until`.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LostSpeed {
  static constexpr const char* kName = "lost_speed";
  static constexpr bool kOfSpeed = true;
  static constexpr const char* kHelp =
      "no ground speed reaches the controller between from and until";
};
inline void describe(LostSpeed&, auto&) {}
inline void bend(const LostSpeed&, PlantSeam& seam) { seam.speed_lost = true; }

}  // namespace sim::scenario
