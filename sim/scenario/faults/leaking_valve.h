// The shut valve leaks: grit on the seat, a nicked rim.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LeakingValve {
  static constexpr const char* kName = "leaking_valve";
  static constexpr const char* kHelp = "the shut valve leaks";
  double amount_ratio = 0.0;
};
inline void describe(LeakingValve& fault, auto& field) {
  field("amount", fault.amount_ratio,
        "leak of the shut valve as a share of the flow of the open one at the same pressure");
}
inline void bend(const LeakingValve& fault, PlantSeam& seam) {
  seam.leak_ratio += fault.amount_ratio;
}

}  // namespace sim::scenario
