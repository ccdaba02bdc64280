// What the network of a pass did, counted as it went: radio down to the rows and up to the machine,
// bus in the cab, what electronics drew. Whole numbers, so that sums do not depend on their order.
//
// Errors   none
// Checked  tests/sim/bench/network_pass_test.cc
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "shared/time.h"

namespace sim::bench {

/// How long frames took.
struct Delays {
  std::int64_t frames = 0;
  std::int64_t sum_ns = 0;
  std::int64_t most_ns = 0;
  void add(shared::Duration took) {
    ++frames;
    sum_ns += took.ns;
    most_ns = std::max(most_ns, took.ns);
  }
  void add(const Delays& other) {
    frames += other.frames;
    sum_ns += other.sum_ns;
    most_ns = std::max(most_ns, other.most_ns);
  }
};

/// One direction of the radio; a broadcast counts once as sent and for each row that it reaches.
struct RadioWay {
  std::int64_t sent = 0;
  std::int64_t failed = 0;  // the station's queue was full
  std::int64_t lost = 0;    // on the air
  std::int64_t repeated = 0;
  Delays delays;  // from the controller that sends to the one that receives
};

struct CabCounts {
  std::int64_t frames = 0;  // whole, of all nodes
  std::int64_t errors = 0;  // error frames
  std::int64_t busy_ns = 0;
  std::int64_t bus_offs = 0;  // nodes that left the bus
  std::int64_t speed_frames = 0;
  std::int64_t speed_lost = 0;  // of them: overwritten while they waited, or not received
  Delays delays;                // of speed frames that were received, from their sample
};

/// What one row's electronics drew over a pass.
struct RowPower {
  double coil_j = 0.0;  // from the supply; fast decay gives some of it back
  double awake_s = 0.0;
  double transmit_s = 0.0;
  double receive_s = 0.0;
  double lasted_s = 0.0;
  double mean_a = 0.0;  // of all of it
  double mean_w = 0.0;
};

struct NetworkRecord {
  RadioWay down, up;
  CabCounts cab;
  std::vector<RowPower> power;  // of each row
};

}  // namespace sim::bench
