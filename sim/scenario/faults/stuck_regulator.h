// The pressure regulator no longer follows its set point: it keeps the last one from before.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StuckRegulator {
  static constexpr const char* kName = "stuck_regulator";
  static constexpr const char* kHelp = "the pressure regulator keeps the set point that it had";
  static constexpr bool kOfMachine = true;
};
inline void describe(StuckRegulator&, auto&) {}
inline void bend(const StuckRegulator&, SupplySeam& seam) { seam.stuck = true; }

}  // namespace sim::scenario
