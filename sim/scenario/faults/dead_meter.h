// The row's flow meter makes no pulses: a jammed rotor, a broken wire.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DeadMeter {
  static constexpr const char* kName = "dead_meter";
  static constexpr const char* kHelp = "the row's flow meter makes no pulses";
};
inline void describe(DeadMeter&, auto&) {}
inline void bend(const DeadMeter&, PlantSeam& seam) { seam.meter_ratio = 0.0; }

}  // namespace sim::scenario
