// The air between machine and one row, one way: what is lost, how late the rest is, what comes
// twice.
//
//   state     good or bad; before each frame a good channel turns bad by the chance `worsens`, a
//             bad one good by `recovers`. It begins good
//   loss      by the share that belongs to the state. In the long run the share of bad frames is
//             p/(p + r), and bad stretches last 1/r frames in the mean
//   latency   a fixed part and an exponential one: a frame may overtake one before it
//   arrival   at the first slot end of the bench after air time and latency, in order of receipt
//
// State    channel, frames under way; draws are indexed by the frame's number on this way
// Errors   none
// Source   E. N. Gilbert, Capacity of a burst-noise channel, Bell System Technical Journal 39
//          (1960); E. O. Elliott, Estimates of error rates for codes on burst-noise channels, 42
//          (1963); from memory
// Checked  tests/sim/bench/radio_test.cc, tests/published/burst_channel_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "shared/time.h"
#include "sim/bench/network_record.h"
#include "sim/bench/random.h"
#include "sim/bench/slot_ahead.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

class RadioChannel {
 public:
  /// `way`: 0 or 1, which keeps the draws of the two directions apart.
  RadioChannel(const scenario::RadioSection& radio, const RandomStream& stream, int way);

  /// Frames that arrive at `at`, a slot's end: of those whose air time ended by then, and of those
  /// that were under way.
  std::vector<sillion_frame> carry(const std::vector<SentFrame>& sent, shared::Instant at);
  /// Of what was carried: lost, repeated, delays.
  const RadioWay& counts() const { return counts_; }
  bool bad() const { return bad_; }

 private:
  struct UnderWay {
    SentFrame sent;
    shared::Instant due{};
  };
  void take(const SentFrame& sent);
  void set_off(const SentFrame& sent, Purpose latency, std::uint64_t draw);

  const scenario::RadioSection& radio_;
  RandomStream stream_;
  std::uint64_t way_;
  std::uint64_t frames_ = 0;
  bool bad_ = false;
  std::vector<UnderWay> under_way_;  // in order of receipt
  RadioWay counts_;
};

}  // namespace sim::bench
