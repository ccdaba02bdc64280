// Every page of a row controller's storage has had controller.storage_endurance erases at the
// start, so each further erase leaves one more of its bits at 0.
//
// Checked  tests/sim/bench/storage_pass_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StorageWorn {
  static constexpr const char* kName = "storage_worn";
  static constexpr const char* kHelp =
      "the pages of a row controller's storage are at the end of their endurance";
  static constexpr bool kOfStorage = true;
};
inline void describe(StorageWorn&, auto&) {}
inline void bend(const StorageWorn&, StorageSeam& seam) { seam.worn = true; }

}  // namespace sim::scenario
