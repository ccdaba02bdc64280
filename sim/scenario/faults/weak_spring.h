// The valve's spring has lost part of its preload.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct WeakSpring {
  static constexpr const char* kName = "weak_spring";
  static constexpr const char* kHelp = "the valve's spring has lost part of its preload";
  double amount_ratio = 0.0;
};
inline void describe(WeakSpring& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the preload that is missing");
}
inline void bend(const WeakSpring& fault, PlantSeam& seam) {
  seam.preload_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
