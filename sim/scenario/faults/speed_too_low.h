// Ground-based speed reads too low: a worn tyre, a wrong number of pulses per metre.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct SpeedTooLow {
  static constexpr const char* kName = "speed_too_low";
  static constexpr const char* kHelp = "ground-based speed frames read too low";
  static constexpr bool kOfMachine = true;
  double amount_ratio = 0.0;
};
inline void describe(SpeedTooLow& fault, auto& field) {
  field("amount", fault.amount_ratio, "share by which the speed is too low");
}
inline void bend(const SpeedTooLow& fault, BusSeam& seam) {
  seam.speed_ratio *= 1.0 - fault.amount_ratio;
}

}  // namespace sim::scenario
