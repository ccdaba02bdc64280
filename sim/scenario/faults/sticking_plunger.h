// The plunger rubs: grit, swollen seals, dried liquid.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StickingPlunger {
  static constexpr const char* kName = "sticking_plunger";
  static constexpr const char* kHelp = "the plunger rubs in its guide";
  double amount_ratio = 0.0;
};
inline void describe(StickingPlunger& fault, auto& field) {
  field("amount", fault.amount_ratio,
        "friction that comes on top, as a share of the spring's preload");
}
inline void bend(const StickingPlunger& fault, PlantSeam& seam) {
  seam.friction_over_preload_ratio += fault.amount_ratio;
}

}  // namespace sim::scenario
