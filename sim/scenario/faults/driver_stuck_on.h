// The driver's switch has welded: the coil sees the supply whatever is commanded, and no limit
// acts.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DriverStuckOn {
  static constexpr const char* kName = "driver_stuck_on";
  static constexpr const char* kHelp = "the driver's switch stays on";
};
inline void describe(DriverStuckOn&, auto&) {}
inline void bend(const DriverStuckOn&, PlantSeam& seam) { seam.driver_on = true; }

}  // namespace sim::scenario
