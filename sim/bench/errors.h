// How a pass ends when it cannot go on.
//
// Checked  tests/sim/bench/pass_test.cc, tests/sim/bench/controller_refused_test.cc
#pragma once

#include <stdexcept>

namespace sim::bench {

/// The model left physics, with step and state (exit 3).
struct BenchError : std::runtime_error {
  using std::runtime_error::runtime_error;
};
/// The controller failed (exit 4). Row -1: the machine's controller, or before the pass began.
struct ControllerError : std::runtime_error {
  using std::runtime_error::runtime_error;
  int row = -1;
  double at_s = 0.0;
};
/// The caller asked to stop (exit 130).
struct Interrupted : std::runtime_error {
  using std::runtime_error::runtime_error;
};

}  // namespace sim::bench
