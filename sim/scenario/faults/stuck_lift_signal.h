// The input that says whether the machine is lowered keeps the level that it had.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StuckLiftSignal {
  static constexpr const char* kName = "stuck_lift_signal";
  static constexpr const char* kHelp = "the input for lifted and lowered keeps its level";
  static constexpr bool kOfMachine = true;
};
inline void describe(StuckLiftSignal&, auto&) {}
inline void bend(const StuckLiftSignal&, InputSeam& seam) { seam.lift_stuck = true; }

}  // namespace sim::scenario
