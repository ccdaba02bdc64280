// The sensor chatters: a seed covers the beam, frees it and covers it again. A second edge within
// half the dwell falls into the dead time of a filter against contact noise; a later one looks like
// a seed.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct DoubledEdges {
  static constexpr const char* kName = "doubled_edges";
  static constexpr const char* kHelp = "a second rising edge follows the true one";
  double by_s = 0.0;
  double amount_ratio = 0.0;
};
inline void describe(DoubledEdges& fault, auto& field) {
  field("by", fault.by_s, "time from the true rising edge to the second");
  field("amount", fault.amount_ratio, "share of edges that are doubled");
}
inline void bend(const DoubledEdges& fault, EdgeSeam& seam) {
  if (seam.doubled_uniform_ratio < fault.amount_ratio) seam.doubled_after_s = fault.by_s;
}

}  // namespace sim::scenario
