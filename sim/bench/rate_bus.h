// The task controller in the cab: it sends the rate of the zone that the machine is in to the
// machine's controller, at each border and every second.
//
//   rate of the field = rate in the band * band length / spacing, as a task controller knows it;
//   the rate in the band itself where bands touch and in the continuous stream
//
// Without zones nothing is sent: the rate is that of the configuration.
// Layouts  shared/row_frames.h
// State    when the next frame is due
// Errors   none
// Checked  tests/sim/bench/rate_bus_test.cc
#pragma once

#include <limits>

#include "shared/controller_abi.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// The frame of a rate in the band.
sillion_frame rate_frame(const scenario::Scenario& scenario, double in_band_m3pm2);

class RateBus {
 public:
  explicit RateBus(const scenario::Scenario& scenario);
  /// When the next frame is due.
  double next_s() const { return next_s_; }
  /// That frame; the one behind it is due at the next border, or a second later.
  sillion_frame take(const scenario::Scenario& scenario);

 private:
  double next_s_ = std::numeric_limits<double>::infinity();
};

}  // namespace sim::bench
