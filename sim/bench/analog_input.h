// The converter of one controller: it samples all channels at the multiples of 1/rate of the
// controller's own clock since its start and holds them until the next; with rate 0 it samples at
// the call.
//
//   sample k at tick floor(k * 1e9 / (rate * tick_ns)), k = 0, 1, ...
//   counts   value / full scale * (2^bits - 1), rounded, from 0 to its end
//   An instant inside a step of the plant sees the plant as it is at the step's start, as a call
//   does.
//
// State    the held counts, and when the next sample is due
// Errors   none
// Checked  tests/sim/bench/controller_port_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <limits>

#include "shared/controller_abi.h"
#include "sim/bench/controller_clock.h"
#include "sim/bench/plant_view.h"

namespace sim::bench {

inline constexpr std::uint32_t kMostSamplesHz = 1'000'000;

/// What a converter of so many bits makes of a value in the unit of its full scale.
std::uint16_t counts_of(double value,  // tidy: unit of the full scale
                        std::int32_t full_scale, std::uint32_t bits);

class AnalogInput {
 public:
  AnalogInput() = default;
  AnalogInput(const sillion_hardware& hardware, const sillion_config& config);
  /// The controller's counter has started anew.
  void restart(const ControllerClock& clock);
  /// The next instant at which a sample is due; never where it samples at the call.
  shared::Instant next() const { return next_; }
  /// Samples if one is due by `last`, that instant included.
  void sample_until(shared::Instant last, const PlantView& plant, const ControllerClock& clock);
  /// The counts that a call gets.
  void hand_over(const PlantView& plant, sillion_input& input);

 private:
  void sample(const PlantView& plant);

  std::uint32_t channels_ = 0;
  std::uint32_t bits_ = 0;
  std::int64_t rate_hz_ = 0;
  std::int64_t tick_ns_ = 1;
  std::array<std::int32_t, SILLION_ANALOG_MAX> full_scale_{};
  std::array<std::uint16_t, SILLION_ANALOG_MAX> counts_{};
  std::int64_t sample_ = 0;  // number of the next one
  shared::Instant next_{std::numeric_limits<std::int64_t>::max()};
};

}  // namespace sim::bench
