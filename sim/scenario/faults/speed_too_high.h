// Ground-based speed reads too high: a radar at a wrong angle, a wrong number of pulses per metre.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct SpeedTooHigh {
  static constexpr const char* kName = "speed_too_high";
  static constexpr const char* kHelp = "ground-based speed frames read too high";
  static constexpr bool kOfMachine = true;
  double amount_ratio = 0.0;
};
inline void describe(SpeedTooHigh& fault, auto& field) {
  field("amount", fault.amount_ratio, "share by which the speed is too high");
}
inline void bend(const SpeedTooHigh& fault, BusSeam& seam) {
  seam.speed_ratio *= 1.0 + fault.amount_ratio;
}

}  // namespace sim::scenario
