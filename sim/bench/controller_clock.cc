#include "sim/bench/controller_clock.h"

#include <cmath>

namespace sim::bench {

ControllerClock::ControllerClock(const sillion_hardware& hardware, double drift_ratio,
                                 double start_before_wrap_s)
    : tick_ns_(hardware.tick_ns),
      rate_ppb_(1'000'000'000 + static_cast<std::int64_t>(std::llround(drift_ratio * 1e9))),
      mask_(hardware.counter_bits >= 32 ? 0xffffffffu : (1u << hardware.counter_bits) - 1u) {
  const auto before =
      static_cast<std::uint32_t>(start_before_wrap_s * 1e9 / static_cast<double>(tick_ns_));
  start_ = (0u - before) & mask_;
}

std::int64_t ControllerClock::ticks_at(shared::Instant at) const {
  return static_cast<std::int64_t>(static_cast<__int128>((at - origin_).ns) * rate_ppb_ /
                                   (static_cast<__int128>(1'000'000'000) * tick_ns_));
}

shared::Instant ControllerClock::instant_of_ticks(std::int64_t ticks) const {
  const __int128 scaled = static_cast<__int128>(ticks) * tick_ns_ * 1'000'000'000;
  return origin_ +
         shared::Duration{static_cast<std::int64_t>((scaled + rate_ppb_ - 1) / rate_ppb_)};
}

std::uint32_t ControllerClock::counter(std::int64_t ticks) const {
  return (start_ + static_cast<std::uint32_t>(ticks)) & mask_;
}

std::int64_t ControllerClock::ahead_ticks(std::int64_t ticks, std::uint32_t counter_value) const {
  const std::uint32_t ahead = (counter_value - counter(ticks)) & mask_;
  const std::int64_t range = static_cast<std::int64_t>(mask_) + 1;
  return ahead > mask_ / 2 ? static_cast<std::int64_t>(ahead) - range
                           : static_cast<std::int64_t>(ahead);
}

}  // namespace sim::bench
