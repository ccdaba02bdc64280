// Edges of the seed sensor are lost: dust on the lens, a loose contact.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LostEdges {
  static constexpr const char* kName = "lost_edges";
  static constexpr const char* kHelp = "sensor edges never reach the controller";
  double amount_ratio = 0.0;
};
inline void describe(LostEdges& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of edges that are lost");
}
inline void bend(const LostEdges& fault, EdgeSeam& seam) {
  if (seam.uniform_ratio < fault.amount_ratio) seam.lost = true;
}

}  // namespace sim::scenario
