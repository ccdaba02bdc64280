// The bridge of one row between the controller's commands and the coil: commands lie ahead with
// their own instants, and the states inside a step become shares of that step.
//
//   With a PWM period P a duty d drives from n P to n P + d P after the instant at which its
//   command acted, n = 0, 1, ..., and decays slowly in between; a step sees its own share of that
//   pattern, so periods shorter than the plant's step act as their mean. Without a period (0) a
//   duty is its mean in every step.
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
  void set_pwm_period(shared::Duration period) { pwm_period_ = period; }
  /// Lets the commands of a step act and adds their shares of it to `input`. What is returned, in
  /// order of time, is valid until the next step.
  std::span<const BridgeTurn> step(shared::Instant start, shared::Duration step,
                                   model::RowStepInput& input);

 private:
  void act(shared::Instant start, shared::Duration step, model::RowStepInput& input,
           shared::Instant& from);

  double driven_ratio(shared::Instant from, shared::Instant to, shared::Duration step) const;
  void add_share(shared::Instant from, shared::Instant to, shared::Duration step,
                 model::RowStepInput& input) const;

  shared::Duration pwm_period_{};
  sillion_bridge_command now_{};
  shared::Instant now_since_{};
  std::vector<BridgeChange> pending_;
  std::vector<BridgeTurn> turns_;
};

}  // namespace sim::bench
