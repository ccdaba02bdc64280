#include "controller/opening_seen.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::uint32_t kBefore = 3;  // samples over which the slope before is taken
constexpr std::uint32_t kAfter = 2;
// Slopes are in 1/6 count per sample.
constexpr std::int32_t kLeastBend = 6 * 8;
constexpr std::int32_t kSamePulseUs = 50;
constexpr std::int32_t kMeanOf = 16;
constexpr std::int32_t kWaitsFor = 8;
// The liquid's start moves by 3/4 of what the stop moves by.
constexpr std::int32_t kLeadOver = 3;
constexpr std::int32_t kStopOver = 4;
constexpr std::int32_t kUnsureUs = 50;  // what a table may be off by
constexpr std::int32_t kMostTrimUs = 2000;
constexpr std::int32_t kMostLateUs = 10'000;
constexpr std::int32_t kSlowUs = 500;

/// How much the slope grows at a sample; 0 where it is no end of a dip.
std::int32_t bend_at(const std::uint16_t* at) {
  const std::int32_t before = 2 * (at[0] - at[-static_cast<int>(kBefore)]);
  const std::int32_t after = 3 * (at[kAfter] - at[0]);
  return 4 * before <= after ? after - before : 0;
}

/// Where the lines on both sides meet, in us from the sample on; within one sample of it.
std::int32_t corner_us(const std::uint16_t* at, std::int32_t period_us) {
  const std::int32_t before = at[-1] - at[-3];  // over two samples
  // The second of these may be held by the limit, the first may begin before the corner.
  const std::int32_t after = std::max(at[1] - at[0], at[2] - at[1]);
  const std::int32_t apart = 2 * after - before;
  if (apart <= 0) return 0;
  const std::int32_t part = 2 * (at[-1] - at[1]) + before + 2 * after;
  return std::clamp(static_cast<std::int32_t>(divide_rounded(part * period_us, apart)), -period_us,
                    period_us);
}

}  // namespace

std::int32_t opening_in_us(const std::uint16_t* counts, std::uint32_t count,
                           std::int32_t period_us) {
  std::int32_t largest = kLeastBend - 1;
  std::uint32_t found = 0;
  for (std::uint32_t k = kBefore; k + kAfter < count; ++k) {
    const std::int32_t bend = bend_at(counts + k);
    if (bend <= largest) continue;
    largest = bend;
    found = k;
  }
  if (found == 0) return -1;
  return static_cast<std::int32_t>(found + 1) * period_us + corner_us(counts + found, period_us);
}

std::int32_t expected_opening_us(std::int32_t opening_us, std::int32_t voltage_lead_us) {
  if (opening_us <= 0) return 0;
  return opening_us + static_cast<std::int32_t>(
                          divide_rounded(std::int64_t{kStopOver} * voltage_lead_us, kLeadOver));
}

void take_burst(OpeningSeen& opening, const PulsePlanner& planner, const sillion_input& in,
                std::int32_t expected_us) {
  const std::uint32_t count = std::min<std::uint32_t>(in.burst_count, kBurstSamples);
  if (count == 0 || expected_us <= 0) return;
  constexpr auto kPeriodUs = static_cast<std::int32_t>(kBurstPeriodTicks);
  const Pulse& pulse = planner.pulse;
  const std::int32_t apart_us = since_us(in.burst_start_ticks, pulse.opened_ticks);
  if (apart_us < -kSamePulseUs || apart_us > kSamePulseUs) return;
  const std::int32_t lasts_us = static_cast<std::int32_t>(count) * kPeriodUs;
  if (!pulse.open && since_us(planner.closed_ticks, pulse.opened_ticks) < lasts_us) return;
  const std::int32_t seen_us = opening_in_us(in.burst_counts, count, kPeriodUs);
  if (seen_us < 0) return;
  if (opening.openings < kMeanOf) ++opening.openings;
  const std::int32_t late_q4 =
      kMeanOf * std::clamp(seen_us - expected_us, -kMostLateUs, kMostLateUs);
  opening.late_q4_us +=
      static_cast<std::int32_t>(divide_rounded(late_q4 - opening.late_q4_us, opening.openings));
}

std::int32_t opening_late_us(const OpeningSeen& opening) {
  if (opening.openings < kWaitsFor) return 0;
  return static_cast<std::int32_t>(divide_rounded(opening.late_q4_us, kMeanOf));
}

std::int32_t opening_trim_us(const OpeningSeen& opening) {
  const std::int32_t late_us = opening_late_us(opening);
  const std::int32_t sure_us = late_us - std::clamp(late_us, -kUnsureUs, kUnsureUs);
  const auto trim_us =
      static_cast<std::int32_t>(divide_rounded(std::int64_t{kLeadOver} * sure_us, kStopOver));
  return std::clamp(trim_us, -kMostTrimUs, kMostTrimUs);
}

bool is_slow(const OpeningSeen& opening, bool was) {
  const std::int32_t late_us = opening_late_us(opening);
  return was ? 2 * late_us >= kSlowUs : late_us >= kSlowUs;
}

}  // namespace controller
