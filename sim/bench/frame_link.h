// The network between the machine's controller and one row, both ways: hands frames over at slot
// ends, and faults bend them on the way.
//
//   A frame is lost, has one bit of its bytes flipped, is cut short, or comes late by whole slots;
//   one that is neither lost nor late may change places with the next of its kind and direction, or
//   come twice. Each of these has a draw of its own, indexed by the frame's number on this link. A
//   frame that waits for a next one which never comes is lost with it. Bits flip past any check sum
//   of the link: ids and senders stay.
//
//   Whether a frame is lost hangs on its number alone, so its sender's side can know it before the
//   frame is carried: lost_to_row() and lost_to_machine() count frames by themselves. A link that
//   acknowledges (network.acknowledged) tells the sender; one that does not lets every frame count
//   as sent.
//
// State    how many frames have gone, and those under way
// Errors   none
// Checked  tests/sim/bench/frame_link_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "shared/controller_abi.h"
#include "shared/time.h"
#include "sim/bench/random.h"
#include "sim/scenario/faults/seam.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

class FrameLink {
 public:
  FrameLink(const scenario::Scenario& scenario, int row, const RandomStream& stream);

  /// Frames that arrive at `at`, a slot's end: what is sent now and what was under way.
  std::vector<sillion_frame> to_row(const std::vector<sillion_frame>& sent, shared::Instant at);
  std::vector<sillion_frame> to_machine(const std::vector<sillion_frame>& sent, shared::Instant at);
  /// Whether the next frame sent that way at `at` will be lost.
  bool lost_to_row(shared::Instant at) { return faulty_ && lost_next(down_, at); }
  bool lost_to_machine(shared::Instant at) { return faulty_ && lost_next(up_, at); }

 private:
  struct UnderWay {
    sillion_frame frame{};
    shared::Instant due{};
  };
  struct Direction {
    std::uint64_t first_draw = 0;  // even numbers one way, odd ones the other
    std::uint64_t frames = 0;
    std::uint64_t looked = 0;  // frames whose loss the sender's side has looked at
    std::vector<UnderWay> late;
    std::vector<sillion_frame> overtaken;  // waits for the next of its kind to pass
  };
  std::vector<sillion_frame> carry(Direction& way, const std::vector<sillion_frame>& sent,
                                   shared::Instant at);
  bool lost_next(Direction& way, shared::Instant at) const {
    return bend(2 * way.looked++ + way.first_draw, at).lost;
  }
  scenario::FrameSeam bend(std::uint64_t draw, shared::Instant at) const;
  void damage(const scenario::FrameSeam& seam, std::uint64_t draw, sillion_frame& frame) const;

  const scenario::Scenario& scenario_;
  int row_ = 0;
  RandomStream stream_;
  bool faulty_ = false;  // a scenario without faults asks for no draws
  Direction down_{.first_draw = 0, .frames = 0, .looked = 0, .late = {}, .overtaken = {}};
  Direction up_{.first_draw = 1, .frames = 0, .looked = 0, .late = {}, .overtaken = {}};
};

}  // namespace sim::bench
