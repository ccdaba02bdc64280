// The coil has more resistance than it should have: heat, a bad contact.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct HotCoil {
  static constexpr const char* kName = "hot_coil";
  static constexpr const char* kHelp = "the coil's resistance is too high";
  double amount_ratio = 0.0;
};
inline void describe(HotCoil& fault, auto& field) {
  field("amount", fault.amount_ratio, "share by which the resistance is too high");
}
inline void bend(const HotCoil& fault, PlantSeam& seam) {
  seam.coil_resistance_ratio *= 1.0 + fault.amount_ratio;
}

}  // namespace sim::scenario
