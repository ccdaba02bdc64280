// The valve driver gets too much voltage: an alternator without load, a jump start.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct HighVoltage {
  static constexpr const char* kName = "high_voltage";
  static constexpr const char* kHelp = "the valve driver gets too much voltage";
  double amount_ratio = 0.0;
};
inline void describe(HighVoltage& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of supply.voltage that comes on top");
}
inline void bend(const HighVoltage& fault, PlantSeam& seam) {
  seam.supply_voltage_ratio *= 1.0 + fault.amount_ratio;
}

}  // namespace sim::scenario
