// The coil's circuit is open: a broken wire, a plug that came off. What current runs ends as in
// fast decay.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct OpenCoil {
  static constexpr const char* kName = "open_coil";
  static constexpr const char* kHelp = "the coil's circuit is open";
};
inline void describe(OpenCoil&, auto&) {}
inline void bend(const OpenCoil&, PlantSeam& seam) { seam.coil_open = true; }

}  // namespace sim::scenario
