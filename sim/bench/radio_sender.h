// One station of the radio: its queue, its time slots and the air time of its frames.
//
//   A period holds the machine's slot, then one for each row. Frames that wait when a station's
//   slot begins go on air one behind the other, as many as end within the slot; the others wait for
//   the next slot. A frame that finds the queue full fails. No frame is acknowledged: what is lost
//   on the air counts as sent.
//
// In       frames with the instants at which the controller gave them, in order of time
// Out      frames whose air time has ended, with its end
// State    queue, number of the next slot
// Valid    all stations share one time: each keeps its slots by a crystal and the machine's
//          broadcast, within guard times that belong to the slot's length. The queue is the radio's
//          own: a controller that restarts does not empty it
// Errors   none; slots and periods are judged by sim/scenario/network_keys.h
// Checked  tests/sim/bench/radio_test.cc
#pragma once

#include <cstdint>
#include <deque>
#include <vector>

#include "shared/time.h"
#include "sim/bench/controller_port.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// What a transmitter did since it was last asked.
struct Transmitted {
  std::uint32_t ok = 0;
  std::uint32_t failed = 0;  // its queue was full
};

class RadioSender {
 public:
  /// `place` of its slot in the period: 0 the machine's, 1 + row a row's.
  RadioSender(const scenario::RadioSection& radio, int place);

  /// Moves the station on to `until`. Frames given later than that wait for the next call.
  std::vector<SentFrame> run(const std::vector<SentFrame>& given, shared::Instant until);
  /// What ended since the last call of this.
  Transmitted take_done();
  std::int64_t sent() const { return sent_; }
  std::int64_t failed() const { return failed_; }
  shared::Duration on_air() const { return on_air_; }

 private:
  shared::Instant slot_start() const;
  void enter(const SentFrame& frame);
  void fill_slot(shared::Instant start);

  const scenario::RadioSection& radio_;
  shared::Duration period_, slot_, offset_;
  std::int64_t next_slot_ = 0;
  std::deque<SentFrame> given_;  // that have not entered the queue
  std::deque<SentFrame> queue_;
  std::deque<SentFrame> flying_;
  Transmitted done_;
  std::int64_t sent_ = 0, failed_ = 0;
  shared::Duration on_air_{};
};

}  // namespace sim::bench
