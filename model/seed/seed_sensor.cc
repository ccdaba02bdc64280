#include "model/seed/seed_sensor.h"

#include <algorithm>

#include "shared/check.h"

namespace model {
namespace {

// The beam covered, or the line raised without a seed, before jitter.
struct Cover {
  double from_s = 0.0;
  double until_s = 0.0;
  int passing = 0;
  bool false_one = false;
};

std::vector<Cover> covers_of(const SeedSensorParams& params, std::span<const Passing> passings) {
  std::vector<Cover> covers;
  for (std::size_t i = 0; i < passings.size(); ++i) {
    const Passing& seed = passings[i];
    EXPECTS(i == 0 || passings[i - 1].time_s <= seed.time_s);
    if (seed.missed_uniform_ratio < params.missed_ratio) continue;
    const double free_s = seed.time_s + params.dwell_s;
    covers.push_back({seed.time_s, free_s, static_cast<int>(i), false});
    if (seed.doubled_uniform_ratio < params.doubled_ratio) {
      const double again_s = free_s + params.doubled_after_s;
      covers.push_back({again_s, again_s + params.dwell_s, static_cast<int>(i), true});
    }
  }
  // At one instant the seed counts before the false pulse: it is really there.
  std::stable_sort(covers.begin(), covers.end(), [](const Cover& a, const Cover& b) {
    return a.from_s != b.from_s ? a.from_s < b.from_s : a.false_one < b.false_one;
  });
  return covers;
}

}  // namespace

SensorRecord sense(const SeedSensorParams& params, std::span<const Passing> passings) {
  EXPECTS(params.dwell_s > 0.0 && params.doubled_after_s >= 0.0);
  SensorRecord record;
  record.sensed.assign(passings.size(), false);
  double free_before_s = 0.0;  // falling edge of the pulse before
  for (const Cover& cover : covers_of(params, passings)) {
    const bool first = record.pulses.empty();
    if (!first && cover.from_s < record.pulses.back().falling_s) {
      double& falling_s = record.pulses.back().falling_s;
      falling_s = std::max(falling_s, cover.until_s);
      continue;
    }
    if (!first) free_before_s = record.pulses.back().falling_s;
    const auto seed = static_cast<std::size_t>(cover.passing);
    double rising_s = cover.from_s;
    if (!cover.false_one) {
      rising_s += params.jitter_s * passings[seed].jitter_normal_ratio;
      record.sensed[seed] = true;
    }
    if (!first) rising_s = std::max(rising_s, free_before_s);
    rising_s = std::min(rising_s, cover.until_s);
    record.pulses.push_back({rising_s, cover.until_s, cover.passing, cover.false_one});
  }
  return record;
}

}  // namespace model
