// The watchdog does not see the kicks of the machine controller.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct MissedMachineKick {
  static constexpr const char* kName = "missed_machine_kick";
  static constexpr const char* kHelp = "the watchdog of the machine controller sees no kicks";
  static constexpr bool kOfMachine = true;
};
inline void describe(MissedMachineKick&, auto&) {}
inline void bend(const MissedMachineKick&, WatchdogSeam& seam) {
  if (seam.machine) seam.kick_hidden = true;
}

}  // namespace sim::scenario
