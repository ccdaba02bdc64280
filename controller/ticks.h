// Instants of the controller's own counter, and the units that go with them.
//
//   One tick is 1 us nominal; the counter has 32 bits and wraps every 71.6 min, so an instant means
//   something only against another one less than half a range (35.8 min) away. Every comparison
//   goes through since_us(); anything that could become older than that is dropped by its age long
//   before.
//
// Units    _us ticks, _um micrometres, _pm picometres (1 um/s for 1 us), _umps um/s, _umps2 um/s2
// Errors   none: any pair of counter values gives a signed distance
// Checked  tests/controller/ticks_test.cc
#pragma once

#include <algorithm>
#include <cstdint>

namespace controller {

inline constexpr std::uint32_t kTickNs = 1000;
inline constexpr std::uint32_t kPeriodTicks = 1000;  // of the periodic call
inline constexpr std::int64_t kMicro = 1'000'000;
inline constexpr std::uint32_t kAnalogBits = 10;  // as a small microcontroller's converter has

/// Signed time from `then` to `now`, right across the counter's wrap.
constexpr std::int32_t since_us(std::uint32_t now, std::uint32_t then) {
  return static_cast<std::int32_t>(now - then);
}

/// The counter value that lies `ahead_us` after `now`; negative values lie before it.
constexpr std::uint32_t later(std::uint32_t now, std::int32_t ahead_us) {
  return now + static_cast<std::uint32_t>(ahead_us);
}

/// Narrows by saturation: arithmetic runs in 64 bits, what is kept or compared has 32.
constexpr std::int32_t saturated(std::int64_t value) {
  return static_cast<std::int32_t>(std::clamp<std::int64_t>(value, INT32_MIN, INT32_MAX));
}

/// num / den to the nearest, halves away from zero; den > 0.
constexpr std::int64_t divide_rounded(std::int64_t num, std::int64_t den) {
  return (num >= 0 ? num + den / 2 : num - den / 2) / den;
}

}  // namespace controller
