#include "sim/bench/rate_bus.h"

#include <algorithm>
#include <cmath>

#include "shared/row_frames.h"
#include "sim/scenario/rate_zones.h"

namespace sim::bench {
namespace {

constexpr double kRepeat_s = 1.0;
constexpr std::uint8_t kBusSender = 254;
constexpr double kUnit_m3pm2 = 1e-11;  // 0.01 mm3/m2

}  // namespace

sillion_frame rate_frame(const scenario::Scenario& scenario, double in_band_m3pm2) {
  const double share_ratio =
      scenario.rate.continuous
          ? 1.0
          : std::min(1.0, scenario.rate.band_length_m / scenario.seeding.meter.spacing_m);
  const auto value =
      static_cast<std::uint32_t>(std::llround(in_band_m3pm2 * share_ratio / kUnit_m3pm2));
  sillion_frame frame{};
  frame.id = SILLION_BUS_RATE;
  frame.length = 8;
  frame.sender = kBusSender;
  frame.bytes[0] = 0x13;  // element 1, command value
  frame.bytes[2] = 1;
  for (std::size_t k = 0; k < 4; ++k)
    frame.bytes[4 + k] = static_cast<std::uint8_t>((value >> (8 * k)) & 0xffu);
  return frame;
}

RateBus::RateBus(const scenario::Scenario& scenario) {
  if (!scenario.rate.zones.empty()) next_s_ = 0.0;
}

sillion_frame RateBus::take(const scenario::Scenario& scenario) {
  const double now_s = next_s_;
  next_s_ = now_s + kRepeat_s;
  for (const double border_s : scenario::rate_borders_s(scenario.rate))
    if (border_s > now_s) next_s_ = std::min(next_s_, border_s);
  return rate_frame(scenario, scenario::in_band_rate_m3pm2(scenario.rate, now_s));
}

}  // namespace sim::bench
