// Another controller sets the pressure of the same pump: what the regulator gets is the machine's
// set point, moved by a share; with a period the other's own trim pushes it up for one half of each
// and down for the other.
//
// Checked  tests/sim/bench/second_regulator_test.cc
#pragma once

#include <cmath>

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct SecondRegulator {
  static constexpr const char* kName = "second_regulator";
  static constexpr const char* kHelp =
      "another controller moves the regulator's set point away from the machine's";
  static constexpr bool kOfMachine = true;
  double amount_ratio = 0.0;
  double by_s = 0.0;
};
inline void describe(SecondRegulator& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of the set point by which it is moved");
  field("by", fault.by_s, "period in which it is moved up and then down; 0 s: up all the time");
}
inline void bend(const SecondRegulator& fault, SupplySeam& seam) {
  const bool down = fault.by_s > 0.0 && std::fmod(seam.at_s, fault.by_s) >= 0.5 * fault.by_s;
  seam.setpoint_ratio *= 1.0 + (down ? -fault.amount_ratio : fault.amount_ratio);
}

}  // namespace sim::scenario
