// The bridge of one row between the controller's commands and the coil: commands lie ahead with
// their own instants, and the states inside a step become shares of that step.
//
// Errors   none
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include <span>
#include <vector>

#include "model/row/row_unit.h"
#include "shared/time.h"
#include "sim/bench/controller_port.h"

namespace sim::bench {

/// A command at the instant at which it acted.
struct BridgeTurn {
  shared::Instant at{};
  sillion_bridge_command command{};
  bool was_on = false;
  bool is_on() const { return command.state == SILLION_BRIDGE_DRIVE; }
};

class BridgeDrive {
 public:
  /// Commands that have not acted yet, in any order.
  std::vector<BridgeChange>& pending() { return pending_; }
  /// Lets the commands of a step act and adds their shares of it to `input`. What is returned, in
  /// order of time, is valid until the next step.
  std::span<const BridgeTurn> step(shared::Instant start, shared::Duration step,
                                   model::RowStepInput& input);

 private:
  void act(shared::Instant start, shared::Duration step, model::RowStepInput& input,
           shared::Instant& from);

  sillion_bridge_command now_{};
  std::vector<BridgeChange> pending_;
  std::vector<BridgeTurn> turns_;
};

}  // namespace sim::bench
