// A gateway keeps sending the last speed that it received: fresh frames with an old value.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StaleSpeed {
  static constexpr const char* kName = "stale_speed";
  static constexpr const char* kHelp =
      "speed and course frames repeat the last value before `from`";
  static constexpr bool kOfMachine = true;
};
inline void describe(StaleSpeed&, auto&) {}
inline void bend(const StaleSpeed&, BusSeam& seam) { seam.stale = true; }

}  // namespace sim::scenario
