// A controller's own counter against bench time.
//
//   counter = start + floor((t - origin) (1 + drift) / tick_ns), wrapping at counter_bits
//
// In       whole nanoseconds of bench time, whole ticks; integers throughout
// State    none but the origin, which a reset moves: the counter starts anew
// Errors   none
// Checked  tests/sim/bench/controller_port_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"
#include "shared/time.h"

namespace sim::bench {

class ControllerClock {
 public:
  ControllerClock() = default;
  ControllerClock(const sillion_hardware& hardware, double drift_ratio, double start_before_wrap_s);
  /// The counter shows its start value at `at` and goes on from there, as after a reset.
  void start_at(shared::Instant at) { origin_ = at; }
  shared::Instant started_at() const { return origin_; }
  /// Ticks since the start, not wrapped.
  std::int64_t ticks_at(shared::Instant at) const;
  /// The first instant at which the counter shows these ticks.
  shared::Instant instant_of_ticks(std::int64_t ticks) const;
  /// The counter's value, wrapped, with the start value.
  std::uint32_t counter(std::int64_t ticks) const;
  /// Signed distance from `ticks` to a wrapped counter value, within half a range.
  std::int64_t ahead_ticks(std::int64_t ticks, std::uint32_t counter_value) const;

 private:
  std::int64_t tick_ns_ = 1000;
  std::int64_t rate_ppb_ = 1'000'000'000;
  std::uint32_t mask_ = 0xffffffffu;
  std::uint32_t start_ = 0;
  shared::Instant origin_{};
};

}  // namespace sim::bench
