// Edges of the seed sensor reach the controller late: a long wire, a slow input filter.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LateEdges {
  static constexpr const char* kName = "late_edges";
  static constexpr const char* kHelp = "sensor edges reach the controller late";
  double by_s = 0.0;
};
inline void describe(LateEdges& fault, auto& field) {
  field("by", fault.by_s, "delay of every edge");
}
inline void bend(const LateEdges& fault, EdgeSeam& seam) { seam.at_s += fault.by_s; }

}  // namespace sim::scenario
