// The valve's seat is plugged, partly or wholly: grit, a crust under the plunger's rim.
//
// Checked  tests/sim/scenario/loader_test.cc, tests/sim/bench/pass_supply_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct PluggedValve {
  static constexpr const char* kName = "plugged_valve";
  static constexpr const char* kHelp = "part of the valve's seat is plugged";
  double amount_ratio = 0.0;
};
inline void describe(PluggedValve& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the seat's rim that is plugged");
}
inline void bend(const PluggedValve& fault, PlantSeam& seam) {
  seam.seat_rim_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
