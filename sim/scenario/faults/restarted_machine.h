// The machine controller restarts in the field at `from`; while it is off, frames are lost and the
// regulator keeps its set point.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct RestartedMachine {
  static constexpr const char* kName = "restarted_machine";
  static constexpr const char* kHelp = "the machine controller restarts at `from`";
  static constexpr bool kOnce = true;
  static constexpr bool kOfMachine = true;
  double by_s = 0.0;
  int cause = 0;     // index in kResetCauses
  int retained = 0;  // index in kRetained
};
inline void describe(RestartedMachine& fault, auto& field) {
  field("by", fault.by_s, "how long the controller is off");
  field("cause", fault.cause, kResetCauses, "reset cause that the controller is given");
  field("retained", fault.retained, kRetained, "what is left of its retained memory");
}
inline void bend(const RestartedMachine& fault, RestartSeam& seam) {
  if (seam.machine) seam.take(fault.by_s, fault.cause, fault.retained);
}

}  // namespace sim::scenario
