// The pressure at the hose is above what the regulator shows: a gauge that reads low.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct PressureRise {
  static constexpr const char* kName = "pressure_rise";
  static constexpr const char* kHelp = "the pressure at the hose is above the regulator's";
  double amount_ratio = 0.0;
};
inline void describe(PressureRise& fault, auto& field) {
  field("amount", fault.amount_ratio, "share by which the pressure is too high");
}
inline void bend(const PressureRise& fault, PlantSeam& seam) {
  seam.supply_pressure_ratio *= 1.0 + fault.amount_ratio;
}

}  // namespace sim::scenario
