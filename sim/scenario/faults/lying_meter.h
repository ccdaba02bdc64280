// The row's flow meter counts more than passes: a wrong factor, air in the liquid.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LyingMeter {
  static constexpr const char* kName = "lying_meter";
  static constexpr const char* kHelp = "the row's flow meter counts more than passes";
  double amount_ratio = 0.0;
};
inline void describe(LyingMeter& fault, auto& field) {
  field("amount", fault.amount_ratio, "share by which it counts too much");
}
inline void bend(const LyingMeter& fault, PlantSeam& seam) {
  seam.meter_ratio *= 1.0 + fault.amount_ratio;
}

}  // namespace sim::scenario
