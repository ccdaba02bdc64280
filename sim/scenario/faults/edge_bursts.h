// A burst on the sensor's wire, as a relay or an ignition produces it: more edges at the instant of
// the true edge than the capture FIFO holds, so that it overflows.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct EdgeBursts {
  static constexpr const char* kName = "edge_bursts";
  static constexpr const char* kHelp =
      "a burst of 20 short pulses comes with the true edge and overruns the capture FIFO";
  double amount_ratio = 0.0;
};
inline void describe(EdgeBursts& fault, auto& field) {
  field("amount", fault.amount_ratio, "share of edges with a burst");
}
inline void bend(const EdgeBursts& fault, EdgeSeam& seam) {
  if (seam.burst_uniform_ratio < fault.amount_ratio) seam.burst = true;
}

}  // namespace sim::scenario
