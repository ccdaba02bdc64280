// Bits of one page of a row controller's storage are flipped before the start, as radiation, age or
// a wild write would flip them. The bits are drawn.
//
// Checked  tests/sim/bench/storage_pass_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StorageDamaged {
  static constexpr const char* kName = "storage_damaged";
  static constexpr const char* kHelp =
      "bits of a page of a row controller's storage are flipped before the start";
  static constexpr bool kOfStorage = true;
  int page = 0;
  int bits = 0;
};
inline void describe(StorageDamaged& fault, auto& field) {
  field("page", fault.page, WholeRange{0, 255}, "the page, from 0");
  field("bits", fault.bits, WholeRange{1, 512}, "how many of its bits");
}
inline void bend(const StorageDamaged& fault, StorageSeam& seam) {
  seam.page = fault.page;
  seam.damaged_bits = fault.bits;
}

}  // namespace sim::scenario
