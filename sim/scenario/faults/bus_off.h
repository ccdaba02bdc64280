// The machine's bus controller goes bus off at `from`: its transmit errors passed 255. Its software
// asks for recovery at `until`.
//
// Checked  tests/sim/bench/network_faults_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct BusOff {
  static constexpr const char* kName = "bus_off";
  static constexpr const char* kHelp =
      "the machine's bus controller is bus off from `from`; at `until` it begins to recover";
  static constexpr bool kOfMachine = true;
};
inline void describe(BusOff&, auto&) {}
inline void bend(const BusOff&, CabSeam& seam) { seam.machine_off = true; }

}  // namespace sim::scenario
