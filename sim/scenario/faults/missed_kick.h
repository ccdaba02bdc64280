// The watchdog does not see the kicks of a row controller, as if its main program hung while its
// interrupts still ran.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct MissedKick {
  static constexpr const char* kName = "missed_kick";
  static constexpr const char* kHelp = "the watchdog of a row controller sees no kicks";
};
inline void describe(MissedKick&, auto&) {}
inline void bend(const MissedKick&, WatchdogSeam& seam) {
  if (!seam.machine) seam.kick_hidden = true;
}

}  // namespace sim::scenario
