// The converter that records a burst of the coil's current by direct memory access, as
// shared/controller_abi.h describes it.
//
//   begins    when the bridge goes over to DRIVE; one that is under way goes on to its last sample
//   sample k  k + 1 periods of the controller's own clock later, on the straight line between the
//             currents at the ends of the plant's step
//   handed    the newest burst that is whole where the row's plant stands at a hand-over, at the
//             end of its step across the slot's end: so ports may run a slot ahead of the plant
//
// State     the burst under way, the newest whole one
// Errors    none
// Checked   tests/sim/bench/current_burst_test.cc
#pragma once

#include <cstdint>
#include <limits>

#include "shared/controller_abi.h"
#include "sim/bench/controller_clock.h"
#include "sim/bench/controller_host.h"

namespace sim::bench {

inline constexpr std::uint32_t kMostBurstTicks = 1'000'000;  // of a period

class BurstRecorder {
 public:
  BurstRecorder() = default;
  BurstRecorder(const sillion_hardware& hardware, double clock_drift_ratio,
                std::int32_t full_scale_ma);
  /// The bridge goes over to DRIVE.
  void begin(shared::Instant at) {
    if (samples_ > 0 && next_ == kNever) start(at);
  }
  /// A step of the plant, with the coil's current at its ends.
  void step(shared::Instant from, shared::Instant to, double from_a, double to_a) {
    if (next_ <= to) [[unlikely]]
      sample_until(from, to, from_a, to_a);
  }
  /// The newest whole burst, once; its count is 0 where there is none.
  CurrentBurst take();

 private:
  static constexpr shared::Instant kNever{std::numeric_limits<std::int64_t>::max()};

  void start(shared::Instant at);
  void sample_until(shared::Instant from, shared::Instant to, double from_a, double to_a);
  void find_next();

  std::uint32_t samples_ = 0;
  std::int64_t period_ticks_ = 1;
  std::uint32_t bits_ = 0;
  std::int32_t full_scale_ma_ = 0;
  ControllerClock clock_;  // from the burst's beginning on
  shared::Instant next_ = kNever;
  CurrentBurst now_{};
  CurrentBurst whole_{};
};

/// For the row's hardware of this build.   Errors ControllerError
BurstRecorder burst_recorder(ControllerHost& host, double clock_drift_ratio,
                             std::int32_t full_scale_ma);

}  // namespace sim::bench
