// The outlet is plugged, partly or wholly: crystals, grit.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct PluggedOutlet {
  static constexpr const char* kName = "plugged_outlet";
  static constexpr const char* kHelp = "part of the outlet is plugged";
  double amount_ratio = 0.0;
};
inline void describe(PluggedOutlet& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the outlet area that is plugged");
}
inline void bend(const PluggedOutlet& fault, PlantSeam& seam) {
  seam.outlet_area_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
