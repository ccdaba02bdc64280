// A row controller restarts in the field at `from`: a brown-out, its watchdog, a request. While it
// is off, the coil current decays in the bridge, and edges and frames are lost.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct RestartedRow {
  static constexpr const char* kName = "restarted_row";
  static constexpr const char* kHelp = "a row controller restarts at `from`";
  static constexpr bool kOnce = true;
  double by_s = 0.0;
  int cause = 0;     // index in kResetCauses
  int retained = 0;  // index in kRetained
};
inline void describe(RestartedRow& fault, auto& field) {
  field("by", fault.by_s, "how long the controller is off");
  field("cause", fault.cause, kResetCauses, "reset cause that the controller is given");
  field("retained", fault.retained, kRetained, "what is left of its retained memory");
}
inline void bend(const RestartedRow& fault, RestartSeam& seam) {
  if (!seam.machine) seam.take(fault.by_s, fault.cause, fault.retained);
}

}  // namespace sim::scenario
