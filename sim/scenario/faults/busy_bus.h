// Other nodes fill the bus in the cab: a chattering sensor, a large upload.
//
// Checked  tests/sim/bench/network_faults_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct BusyBus {
  static constexpr const char* kName = "busy_bus";
  static constexpr const char* kHelp =
      "frames of other nodes take a further share of the time on the bus in the cab";
  static constexpr bool kOfMachine = true;
  double amount_ratio = 0.0;
};
inline void describe(BusyBus& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the time that the other nodes leave free");
}
inline void bend(const BusyBus& fault, CabSeam& seam) {
  seam.free_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
