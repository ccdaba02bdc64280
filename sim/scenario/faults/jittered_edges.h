// The instant of each edge scatters: a weak beam, dust, a noisy input.
//
// Checked  tests/sim/bench/fault_effects_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct JitteredEdges {
  static constexpr const char* kName = "jittered_edges";
  static constexpr const char* kHelp = "the instants of sensor edges scatter";
  double by_s = 0.0;
};
inline void describe(JitteredEdges& fault, auto& field) {
  field("by", fault.by_s, "standard deviation of the instants");
}
inline void bend(const JitteredEdges& fault, EdgeSeam& seam) {
  seam.at_s += fault.by_s * seam.jitter_normal_ratio;
}

}  // namespace sim::scenario
