// The power of a row controller fails in the middle of a write of its storage: erases and programs
// are counted together, from 1. Each byte before `bytes` is done, the others are as before; after
// `by` the controller starts with the cause power and an empty memory.
//
// Checked  tests/sim/bench/storage_pass_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct StorageCut {
  static constexpr const char* kName = "storage_cut";
  static constexpr const char* kHelp = "the power of a row controller fails during a storage write";
  static constexpr bool kOfStorage = true;
  double by_s = 0.0;
  int write = 0;
  int bytes = 0;
};
inline void describe(StorageCut& fault, auto& field) {
  field("by", fault.by_s, "how long the controller is off");
  field("write", fault.write, WholeRange{1, 1'000'000}, "which erase or program, from 1");
  field("bytes", fault.bytes, WholeRange{0, 64}, "bytes of its page that are done");
}
inline void bend(const StorageCut& fault, StorageSeam& seam) {
  seam.cut_write = fault.write;
  seam.cut_bytes = fault.bytes;
  seam.cut_off_s = fault.by_s;
}

}  // namespace sim::scenario
