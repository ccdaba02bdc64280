// The pump cannot hold its pressure: a clogged strainer, a worn pump.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct PressureSag {
  static constexpr const char* kName = "pressure_sag";
  static constexpr const char* kHelp =
      "the pressure at the hose sags below the regulator's set point";
  double amount_ratio = 0.0;
};
inline void describe(PressureSag& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the pressure that is missing");
}
inline void bend(const PressureSag& fault, PlantSeam& seam) {
  seam.supply_pressure_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
