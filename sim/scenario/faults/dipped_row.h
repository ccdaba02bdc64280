// The supply of a row controller dips at `from`: a starter motor, a loose ground. If it falls below
// controller.brown_out for longer than controller.brown_out_time, the controller is off from then
// until the supply is back and the part has started (10 ms), with the cause brown-out. Only the
// controller's own supply dips; the valve's is bent by low_voltage.
//
// Checked  tests/sim/bench/storage_pass_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DippedRow {
  static constexpr const char* kName = "dipped_row";
  static constexpr const char* kHelp =
      "the supply of a row controller dips at `from`; below controller.brown_out it is reset";
  static constexpr bool kOnce = true;
  double by_s = 0.0;
  double amount_ratio = 0.0;
  int retained = 0;  // index in kRetained
};
inline void describe(DippedRow& fault, auto& field) {
  field("by", fault.by_s, "how long the dip lasts");
  field("amount", fault.amount_ratio, "share of supply.voltage that is missing");
  field("retained", fault.retained, kRetained, "what is left of its retained memory");
}
inline void bend(const DippedRow& fault, RestartSeam& seam) {
  if (!seam.machine) seam.dip(fault.by_s, fault.amount_ratio, fault.retained);
}

}  // namespace sim::scenario
