// What a recording says of the pins of real controllers, for a pass that plays it in place of its
// own: the seeds are those that raised the recorded edges, and the recorded drive moves the valve.
//
//   The recording knows no seed that its sensor missed, and a seed passes the sensor when its edge
//   rises. Delivery, row and ground are those of the scenario.
//
// Time     bench time, in order; `drives` do not overlap
// Checked  tests/sim/study/score/score_test.cc
#pragma once

#include <vector>

#include "shared/controller_abi.h"
#include "sim/bench/seed_way.h"

namespace sim::bench {

struct DrivenTime {
  double on_s = 0.0;
  double off_s = 0.0;
};

struct PlayedRow {
  std::vector<EdgePair> edges;  // of the sensor; its seeds are numbered as they stand here
  std::vector<DrivenTime> drives;
};

struct Played {
  std::vector<PlayedRow> rows;
  /// What the bridge does while the drive is on, and when it goes off.
  sillion_bridge_command on{SILLION_BRIDGE_DRIVE, 32768, 0};
  sillion_bridge_command off{SILLION_BRIDGE_FAST_DECAY, 0, 0};
  double end_s = 0.0;  // of the recording
};

}  // namespace sim::bench
