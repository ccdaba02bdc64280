// The supply of the machine controller dips at `from`, as that of a row controller does by
// sim/scenario/faults/dipped_row.h; while it is off, the regulator keeps its set point.
//
// Checked  tests/sim/bench/storage_pass_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DippedMachine {
  static constexpr const char* kName = "dipped_machine";
  static constexpr const char* kHelp =
      "the supply of the machine controller dips at `from`; below controller.brown_out it is reset";
  static constexpr bool kOnce = true;
  static constexpr bool kOfMachine = true;
  double by_s = 0.0;
  double amount_ratio = 0.0;
  int retained = 0;  // index in kRetained
};
inline void describe(DippedMachine& fault, auto& field) {
  field("by", fault.by_s, "how long the dip lasts");
  field("amount", fault.amount_ratio, "share of supply.voltage that is missing");
  field("retained", fault.retained, kRetained, "what is left of its retained memory");
}
inline void bend(const DippedMachine& fault, RestartSeam& seam) {
  if (seam.machine) seam.dip(fault.by_s, fault.amount_ratio, fault.retained);
}

}  // namespace sim::scenario
