#include "controller/clock_rate.h"

namespace controller {
namespace {

constexpr std::int32_t kFirstWindowUs = 2'500'000;
constexpr std::int32_t kLongestWindowUs = 20'000'000;
constexpr std::uint32_t kFewestWindows = 4;
constexpr std::int32_t kGapUs = 10'000'000;
constexpr std::int32_t kMostWaitUs = 300'000;  // that one frame may have waited longer than another
constexpr std::int64_t kHandOverUs = 10'000;   // frames change hands this often
constexpr std::int32_t kMostQ30 = 21'474'836;  // 2 %
constexpr std::int32_t kMostPartOf = 50;       // the same as a part of the whole

std::int64_t q30(std::int64_t value) { return value * (std::int64_t{1} << 30); }

/// How far `pair` lies above the line of this slope through `from`.
std::int64_t height_us(const ClockPair& pair, const ClockPair& from, std::int64_t slope_q30) {
  const std::int64_t along_us = since_us(pair.machine_us, from.machine_us);
  return since_us(pair.ahead, from.ahead) - (along_us * slope_q30 >> 30);
}

bool follows(const ClockPair& pair, const ClockPair& last) {
  const std::int32_t along_us = since_us(pair.machine_us, last.machine_us);
  if (along_us <= 0 || along_us > kGapUs) return false;
  const std::int32_t most_us = along_us / kMostPartOf + kMostWaitUs;
  const std::int32_t apart_us = since_us(pair.ahead, last.ahead);
  return apart_us >= -most_us && apart_us <= most_us;
}

void start(ClockRate& clock, const ClockPair& pair) {
  clock = {};
  clock.window_us = kFirstWindowUs;
  clock.window_from_us = pair.machine_us;
  clock.newest = pair;
  clock.least = pair;
}

void add_window(ClockRate& clock) {
  if (clock.windows == ClockRate::kWindows && clock.window_us < kLongestWindowUs) {
    clock.windows /= 2;
    clock.window_us *= 2;
    for (std::uint32_t k = 0; k < clock.windows; ++k) {
      const ClockPair& first = clock.closed[2 * k];
      const ClockPair& second = clock.closed[2 * k + 1];
      clock.closed[k] = height_us(second, first, clock.found_q30) < 0 ? second : first;
    }
  } else if (clock.windows == ClockRate::kWindows) {
    --clock.windows;
    for (std::uint32_t k = 0; k < clock.windows; ++k) clock.closed[k] = clock.closed[k + 1];
  }
  clock.closed[clock.windows++] = clock.least;
}

/// The edge of the lower hull above the middle of the baseline: of all chords across the middle the
/// one that passes lowest there.
struct Edge {
  std::uint32_t first = 0;
  std::uint32_t second = 0;
};
Edge middle_edge(const ClockRate& clock) {
  const ClockPair& from = clock.closed[0];
  const auto along_us = [&](std::uint32_t k) {
    return std::int64_t{since_us(clock.closed[k].machine_us, from.machine_us)};
  };
  const std::int64_t middle_us = along_us(clock.windows - 1u) / 2;
  Edge lowest;
  std::int64_t lowest_us = INT64_MAX;
  for (std::uint32_t i = 0; i < clock.windows && along_us(i) <= middle_us; ++i) {
    for (std::uint32_t j = clock.windows - 1u; j > i && along_us(j) > middle_us; --j) {
      const std::int64_t up_us = since_us(clock.closed[j].ahead, clock.closed[i].ahead);
      const std::int64_t at_us =
          since_us(clock.closed[i].ahead, from.ahead) +
          divide_rounded(up_us * (middle_us - along_us(i)), along_us(j) - along_us(i));
      if (at_us >= lowest_us) continue;
      lowest_us = at_us;
      lowest = {i, j};
    }
  }
  return lowest;
}

void find_rate(ClockRate& clock) {
  if (clock.windows < kFewestWindows) return;
  const Edge edge = middle_edge(clock);
  const ClockPair& from = clock.closed[edge.first];
  const ClockPair& to = clock.closed[edge.second];
  // The second point lies behind the first: both are stamps of pairs that followed one another.
  const std::int64_t length_us =
      std::max<std::int32_t>(1, since_us(to.machine_us, from.machine_us));
  const std::int64_t slope_q30 = divide_rounded(q30(since_us(to.ahead, from.ahead)), length_us);
  std::int64_t residual_us = 0;
  for (std::uint32_t k = 0; k < clock.windows; ++k)
    residual_us = std::max(residual_us, height_us(clock.closed[k], from, slope_q30));
  const std::int64_t bound_q30 = q30(kHandOverUs + 2 * residual_us) / length_us;
  const std::int64_t sure_q30 = slope_q30 > 0 ? std::max<std::int64_t>(0, slope_q30 - bound_q30)
                                              : std::min<std::int64_t>(0, slope_q30 + bound_q30);
  const auto limited = [](std::int64_t value) {
    return static_cast<std::int32_t>(std::clamp<std::int64_t>(value, -kMostQ30, kMostQ30));
  };
  clock.found_q30 = limited(slope_q30);
  clock.rate_q30 = limited(sure_q30);
}

}  // namespace

void take_pair(ClockRate& clock, std::uint32_t machine_us, std::uint32_t received_ticks) {
  const ClockPair pair{machine_us, received_ticks - machine_us};
  if (clock.window_us == 0) {
    start(clock, pair);
    return;
  }
  if (!follows(pair, clock.newest)) {
    if (++clock.strange > 1) start(clock, pair);
    return;
  }
  clock.strange = 0;
  clock.newest = pair;
  if (since_us(machine_us, clock.window_from_us) >= clock.window_us) {
    add_window(clock);
    find_rate(clock);
    clock.window_from_us = machine_us;
    clock.least = pair;
  } else if (height_us(pair, clock.least, clock.found_q30) < 0) {
    clock.least = pair;
  }
}

DelayLaw in_ticks(const ClockRate& clock, const DelayLaw& law) {
  DelayLaw own = law;
  own.delivery_us = saturated(in_ticks(clock, law.delivery_us));
  own.lead_us = saturated(in_ticks(clock, law.lead_us));
  own.lag_us = saturated(in_ticks(clock, law.lag_us));
  own.shortest_on_us = saturated(in_ticks(clock, law.shortest_on_us));
  return own;
}

RowMotion in_ticks(const ClockRate& clock, const RowMotion& motion) {
  RowMotion own = motion;
  own.speed_umps = saturated(from_ticks(clock, motion.speed_umps));
  own.accel_umps2 = saturated(from_ticks(clock, from_ticks(clock, motion.accel_umps2)));
  return own;
}

}  // namespace controller
