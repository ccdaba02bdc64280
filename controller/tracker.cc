#include "controller/tracker.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kRepetitionUs = 20'000;
constexpr std::int32_t kGatePeriodUs = 100'000;
constexpr std::int32_t kGapUs = 2'000'000;
constexpr std::int32_t kFewestSamples = 4;  // below, the slope is mostly noise
constexpr std::int32_t kMostSamples = 64;

std::int64_t residual_of(const TrackerSetup& setup, std::int64_t predicted, std::int64_t value) {
  std::int64_t residual = value - predicted;
  if (setup.full_circle > 0) {
    residual %= setup.full_circle;
    if (residual > setup.full_circle / 2) residual -= setup.full_circle;
    if (residual < -setup.full_circle / 2) residual += setup.full_circle;
  }
  return residual;
}

bool line_has_turned(Tracker& tracker, const TrackerSetup& setup, std::int64_t residual) {
  const std::int64_t slack = setup.noise_sd * 3 / 4;
  tracker.above = std::max<std::int64_t>(0, tracker.above + residual - slack);
  tracker.below = std::max<std::int64_t>(0, tracker.below - residual - slack);
  if (std::max(tracker.above, tracker.below) <= 5 * setup.noise_sd) return false;
  tracker.above = 0;
  tracker.below = 0;
  return true;
}

}  // namespace

void restart(Tracker& tracker, std::int64_t value, std::uint32_t at_ticks) {
  tracker = {};
  tracker.any = true;
  tracker.at_ticks = at_ticks;
  tracker.value = value;
  tracker.samples = 1;
}

Taken take_sample(Tracker& tracker, const TrackerSetup& setup, std::int64_t value,
                  std::uint32_t at_ticks) {
  const std::int32_t dt_us = tracker.any ? since_us(at_ticks, tracker.at_ticks) : 0;
  if (!tracker.any || dt_us > kGapUs || dt_us < 0) {
    restart(tracker, value, at_ticks);
    return Taken::kUsed;
  }
  if (dt_us < kRepetitionUs) return Taken::kRepeated;
  const std::int64_t predicted = tracker.value + tracker.slope_ps * dt_us / kMicro;
  const std::int64_t residual = residual_of(setup, predicted, value);
  // After a lost sample or two the signal has had longer to change; after more the old line says
  // nothing, so the gate grows no further.
  const std::int64_t gate =
      setup.gate * std::clamp(dt_us, kGatePeriodUs, 3 * kGatePeriodUs) / kGatePeriodUs;
  const std::int32_t side = residual > gate ? 1 : residual < -gate ? -1 : 0;
  if (side != 0 && tracker.aside != side) {
    tracker.aside = side;
    return Taken::kSetAside;
  }
  if (side != 0) {
    restart(tracker, predicted + residual, at_ticks);
    return Taken::kUsed;
  }
  tracker.aside = 0;
  const auto most = static_cast<std::int32_t>(
      std::clamp<std::int64_t>(setup.memory_us / dt_us, kFewestSamples, kMostSamples));
  const bool turned = line_has_turned(tracker, setup, residual) && tracker.samples > kFewestSamples;
  const std::int64_t n = std::min(turned ? kFewestSamples : tracker.samples + 1, most);
  tracker.samples = static_cast<std::int32_t>(n);
  tracker.at_ticks = at_ticks;
  if (n < kFewestSamples) {
    // There are too few samples for a slope: the value is their mean, at rest.
    tracker.value = predicted + divide_rounded(residual, n);
    return Taken::kUsed;
  }
  tracker.value = predicted + divide_rounded(residual * 2 * (2 * n - 1), n * (n + 1));
  tracker.slope_ps += divide_rounded(residual * 6 * kMicro, n * (n + 1) * dt_us);
  return Taken::kUsed;
}

}  // namespace controller
