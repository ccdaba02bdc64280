// The valve driver gets too little voltage: a tired battery, a corroded plug.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LowVoltage {
  static constexpr const char* kName = "low_voltage";
  static constexpr const char* kHelp = "the valve driver gets too little voltage";
  double amount_ratio = 0.0;
};
inline void describe(LowVoltage& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of supply.voltage that is missing");
}
inline void bend(const LowVoltage& fault, PlantSeam& seam) {
  seam.supply_voltage_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
