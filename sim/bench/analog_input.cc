#include "sim/bench/analog_input.h"

#include <algorithm>
#include <cmath>

namespace sim::bench {
namespace {

constexpr std::uint32_t kChannels = 3;  // pressure, supply voltage, coil current

}  // namespace

std::uint16_t counts_of(double value, std::int32_t full_scale, std::uint32_t bits) {
  if (full_scale <= 0) return 0;
  const double most = static_cast<double>((1u << bits) - 1u);
  return static_cast<std::uint16_t>(
      std::clamp(std::floor(value / full_scale * most + 0.5), 0.0, most));
}

AnalogInput::AnalogInput(const sillion_hardware& hardware, const sillion_config& config)
    : channels_(std::min(hardware.analog_channels, kChannels)),
      bits_(hardware.analog_bits),
      rate_hz_(channels_ > 0 ? hardware.analog_rate_hz : 0),
      tick_ns_(hardware.tick_ns) {
  std::copy_n(config.analog_full_scale, SILLION_ANALOG_MAX, full_scale_.begin());
}

void AnalogInput::restart(const ControllerClock& clock) {
  counts_ = {};
  sample_ = 0;
  if (rate_hz_ > 0) next_ = clock.instant_of_ticks(0);
}

void AnalogInput::sample(const PlantView& plant) {
  const double values[] = {plant.pressure_pa, plant.supply_voltage_v * 1e3,
                           plant.coil_current_a * 1e3};
  for (std::uint32_t channel = 0; channel < channels_; ++channel)
    counts_[channel] = counts_of(values[channel], full_scale_[channel], bits_);
}

void AnalogInput::sample_until(shared::Instant last, const PlantView& plant,
                               const ControllerClock& clock) {
  if (next_ > last) return;
  sample(plant);
  constexpr std::int64_t kSecond_ns = 1'000'000'000;
  while (next_ <= last) {
    ++sample_;
    next_ = clock.instant_of_ticks(sample_ * kSecond_ns / (rate_hz_ * tick_ns_));
  }
}

void AnalogInput::hand_over(const PlantView& plant, sillion_input& input) {
  if (rate_hz_ == 0) sample(plant);
  std::copy_n(counts_.begin(), channels_, input.analog_counts);
}

}  // namespace sim::bench
