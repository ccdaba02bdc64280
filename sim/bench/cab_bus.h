// The bus in the cab: ISO 11783 on CAN 2.0B at 250 kbit/s, on which speed, course and rate come to
// the machine's controller.
//
//   Every identifier has a mailbox in its node: the tractor's speed, the receiver's course, the
//   task controller's rate, a frame of the machine's own node, and those of other nodes. Where the
//   bus is free, of the frames that wait the one with the lowest identifier goes on the wire and
//   takes its real bits
//   (sim/bench/can_frame.h) and an intermission of 3. A newer frame takes the place of one that
//   waits. Gaps between the frames of another node are exponential, with a mean that gives it its
//   part of the stated load by the bits of its own frames; their bytes are drawn.
//   A bit error destroys a frame where it strikes. Then follow the error flag of that node and
//   those of the others, 12 bits together, a delimiter of 8 and the intermission, and the frame is
//   sent again. An error-passive sender waits for 8 bits more before it sends again.
//
// Out      frames that the machine's node received whole, at the end of each; only speed,
//          course and rate reach its controller, as behind an acceptance filter
// State    mailboxes, counters of every node, the instant at which the bus is free
// Valid    faults begin and end at slots. A frame that is offered while another is on the wire
//          waits for its end. Nodes that were bus off come back by themselves, the machine's too
//          unless a fault holds it off
// Errors   none
// Source   Bosch, CAN Specification 2.0, part B, 1991; ISO 11783-2 (250 kbit/s), -3; from memory
// Checked  tests/sim/bench/cab_bus_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "shared/controller_abi.h"
#include "shared/time.h"
#include "sim/bench/can_frame.h"
#include "sim/bench/can_node.h"
#include "sim/bench/network_record.h"
#include "sim/bench/random.h"
#include "sim/bench/slot_ahead.h"
#include "sim/scenario/faults/seam.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

class CabBus {
 public:
  CabBus(const scenario::CabSection& cab, const RandomStream& stream);

  /// Speed, course or rate, ready in its node at `at`; instants do not go back.
  void offer(const sillion_frame& frame, shared::Instant at);
  /// Moves the bus from where it stands to `until`, under the faults of that time.
  std::vector<SentFrame> run(const scenario::CabSeam& seam, shared::Instant until);

  const CabCounts& counts() const { return counts_; }
  const CanNode& machine() const { return nodes_[kMachineNode]; }

 private:
  static constexpr std::size_t kSpeedNode = 0, kCourseNode = 1, kMachineNode = 2, kRateNode = 3,
                               kFirstOther = 4;
  struct Mailbox {
    CanFrame frame;
    bool full = false;
    shared::Instant since{};
  };
  struct Offer {
    std::size_t node = 0;
    CanFrame frame;
    shared::Instant at{};
  };
  struct Other {
    shared::Instant next{};
    std::uint64_t frames = 0;
  };

  void take_seam(const scenario::CabSeam& seam);
  void put(std::size_t node, const CanFrame& frame, shared::Instant at);
  void empty(std::size_t node);
  void fill();
  std::size_t winner() const;
  shared::Instant next_event() const;
  void idle_to(shared::Instant then);
  void hear_recessive(std::int64_t bits);
  void transmit(std::size_t node);
  void destroy(std::size_t node, int bits);
  int error_bit();
  void plan_other(std::size_t other, shared::Instant after, int bits);
  CanFrame other_frame(std::size_t other) const;

  const scenario::CabSection& cab_;
  RandomStream stream_;
  scenario::CabSeam seam_;
  double load_ratio_ = 0.0;
  std::vector<CanNode> nodes_;
  std::vector<Mailbox> mailboxes_;         // of each node
  std::vector<shared::Instant> may_send_;  // of each node
  std::vector<Other> others_;
  std::vector<Offer> offers_;  // in order of time
  std::int64_t own_frames_ = 0;
  std::uint64_t attempts_ = 0;
  shared::Instant free_{};  // the bus is free from here on
  std::vector<SentFrame> received_;
  CabCounts counts_;
};

}  // namespace sim::bench
