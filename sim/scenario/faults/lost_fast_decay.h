// The driver can no longer reverse the coil's voltage: current runs out slowly in place of fast.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LostFastDecay {
  static constexpr const char* kName = "lost_fast_decay";
  static constexpr const char* kHelp = "fast decay of the coil's current acts as slow decay";
};
inline void describe(LostFastDecay&, auto&) {}
inline void bend(const LostFastDecay&, PlantSeam& seam) { seam.slow_decay = true; }

}  // namespace sim::scenario
