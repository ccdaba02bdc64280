// The network between the machine's controller and one row, both ways: hands frames over at slot
// ends, and faults bend them on the way.
//
//   A frame is lost, has one bit of its bytes flipped, is cut short, or comes late by whole slots;
//   one that is neither lost nor late may change places with the next of its kind and direction, or
//   come twice. Each of these has a draw of its own, indexed by the frame's number on this link. A
//   frame that waits for a next one which never comes is lost with it. Bits flip past any check sum
//   of the link: ids and senders stay.
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

 private:
  struct UnderWay {
    sillion_frame frame{};
    shared::Instant due{};
  };
  struct Direction {
    std::uint64_t first_draw = 0;  // even numbers one way, odd ones the other
    std::uint64_t frames = 0;
    std::vector<UnderWay> late;
    std::vector<sillion_frame> overtaken;  // waits for the next of its kind to pass
  };
  std::vector<sillion_frame> carry(Direction& way, const std::vector<sillion_frame>& sent,
                                   shared::Instant at);
  scenario::FrameSeam bend(std::uint64_t draw, shared::Instant at) const;
  void damage(const scenario::FrameSeam& seam, std::uint64_t draw, sillion_frame& frame) const;

  const scenario::Scenario& scenario_;
  int row_ = 0;
  RandomStream stream_;
  bool faulty_ = false;  // a scenario without faults asks for no draws
  Direction down_{.first_draw = 0, .frames = 0, .late = {}, .overtaken = {}};
  Direction up_{.first_draw = 1, .frames = 0, .late = {}, .overtaken = {}};
};

}  // namespace sim::bench
