// All that lies between the machine's controller and one row: the air where a radio is simulated,
// then the faults of the way (sim/bench/frame_link.h).
//
// State    of both directions; each may be used on a thread of its own
// Errors   none
// Checked  tests/sim/bench/radio_test.cc, tests/sim/bench/network_pass_test.cc
#pragma once

#include <optional>
#include <vector>

#include "sim/bench/frame_link.h"
#include "sim/bench/radio_channel.h"

namespace sim::bench {

class RowLink {
 public:
  RowLink(const scenario::Scenario& scenario, int row, const RandomStream& stream);

  /// Frames that arrive at `at`, a slot's end, of what a station sent by then.
  std::vector<sillion_frame> to_row(const std::vector<SentFrame>& sent, shared::Instant at);
  std::vector<sillion_frame> to_machine(const std::vector<SentFrame>& sent, shared::Instant at);

  RadioWay down() const { return down_ ? down_->counts() : RadioWay{}; }
  RadioWay up() const { return up_ ? up_->counts() : RadioWay{}; }

 private:
  FrameLink faults_;
  std::optional<RadioChannel> down_, up_;
};

}  // namespace sim::bench
