// Bursts are drawn from the coil's equation by hand: a rise, a fall while the plunger moves, and a
// rise again from the corner on.
#include "controller/opening_seen.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::OpeningSeen;

constexpr int kPeriod = 75;

/// 10 bits over 8 A, sample k at k + 1 periods.
std::vector<std::uint16_t> burst_of(const std::function<double(double)>& current_a) {
  std::vector<std::uint16_t> counts;
  for (int k = 0; k < 64; ++k) {
    const double at_us = (k + 1.0) * kPeriod;
    counts.push_back(static_cast<std::uint16_t>(
        std::clamp(std::floor(current_a(at_us) / 8.0 * 1023.0 + 0.5), 0.0, 1023.0)));
  }
  return counts;
}

/// A coil with a time constant of 1.75 ms towards 3.15 A: 4 ohm, 7 mH at 12.6 V.
double rise_a(double at_us) { return 3.15 * (1.0 - std::exp(-at_us / 1750.0)); }

/// The plunger moves for 0.8 ms before `stop_us`, in which the current changes by `falls_a` per ms;
/// then it rises by 2 A/ms to the limit of 2.5 A.
double dip_a(double at_us, double stop_us, double falls_a) {
  const double from_us = stop_us - 800.0;
  if (at_us < from_us) return rise_a(at_us);
  const double corner_a = rise_a(from_us) - falls_a * (std::min(at_us, stop_us) - from_us) * 1e-3;
  return std::min(2.5, corner_a + 2.0 * std::max(0.0, at_us - stop_us) * 1e-3);
}

std::int32_t seen_us(const std::vector<std::uint16_t>& counts) {
  return controller::opening_in_us(counts.data(), static_cast<std::uint32_t>(counts.size()),
                                   kPeriod);
}

TEST(OpeningSeen, TheCornerIsFoundBetweenTheSamples) {
  for (int stop_us = 1500; stop_us <= 4500; stop_us += 7)
    EXPECT_NEAR(seen_us(burst_of([&](double at) { return dip_a(at, stop_us, 0.6); })), stop_us, 15)
        << stop_us;
}

// A plunger that moves slowly only stops the rise.
TEST(OpeningSeen, ARiseThatOnlyStopsIsEnough) {
  for (const int stop_us : {1900, 2477, 3010})
    EXPECT_NEAR(seen_us(burst_of([&](double at) { return dip_a(at, stop_us, 0.0); })), stop_us, 15);
}

TEST(OpeningSeen, WithoutADipNothingIsSeen) {
  EXPECT_LT(seen_us(burst_of([](double) { return 0.0; })), 0);  // no coil
  EXPECT_LT(seen_us(burst_of(rise_a)), 0);                      // a plunger that sticks
  EXPECT_LT(seen_us(burst_of([](double at) { return std::min(2.0, rise_a(at)); })), 0);  // a limit
  EXPECT_LT(seen_us(burst_of([](double at) { return rise_a(std::min(at, 3000.0)); })), 0);
  // A rise that becomes steeper without having stopped: iron that saturates.
  EXPECT_LT(
      seen_us(burst_of([](double at) { return 1e-3 * (at + 0.4 * std::max(0.0, at - 2000.0)); })),
      0);
  // The supply's ripple of 300 Hz and a tenth, on a coil that holds its plunger.
  EXPECT_LT(seen_us(burst_of([](double at) {
              return rise_a(at) * (1.0 + 0.05 * std::sin(2.0 * 3.14159 * 300.0 * at * 1e-6));
            })),
            0);
  EXPECT_LT(controller::opening_in_us(nullptr, 0, kPeriod), 0);
  const std::vector<std::uint16_t> two = {3, 4};
  EXPECT_LT(controller::opening_in_us(two.data(), 2, kPeriod), 0);
}

// The slope grows at sample 4 of 6 (75 us each), but the lines on its two sides fall apart: the
// rise before it, 100 counts in two samples, is steeper than the 24 per sample behind it. Then the
// stop is the sample itself, 4 x 75 us from the command.
TEST(OpeningSeen, LinesThatDoNotMeetGiveTheSampleItself) {
  const std::vector<std::uint16_t> counts = {0, 50, 100, 0, 24, 48};
  EXPECT_EQ(controller::opening_in_us(counts.data(), 6, 75), 300);
}

// Every sequence of counts has an answer that fits its burst.
TEST(OpeningSeen, GarbageStaysWithinTheBurst) {
  std::uint32_t state = 1;
  for (int round = 0; round < 2000; ++round) {
    std::vector<std::uint16_t> counts(64);
    for (std::uint16_t& one : counts) {
      state = state * 1664525u + 1013904223u;
      one = static_cast<std::uint16_t>(state >> 16);
    }
    const std::int32_t us = seen_us(counts);
    EXPECT_LE(us, 65 * kPeriod);
    EXPECT_GE(us, -1);
  }
}

/// One pulse from 0 to `off_us`, whose burst shows its stop at `stop_us`.
void open(OpeningSeen& opening, double stop_us, std::int32_t expected_us, int off_us = 15'000,
          std::uint32_t burst_start = 1000) {
  controller::PulsePlanner planner;
  planner.pulse.opened_ticks = 1000;
  planner.closed_ticks = 1000 + static_cast<std::uint32_t>(off_us);
  sillion_input in{};
  in.burst_count = 64;
  in.burst_start_ticks = burst_start;
  const auto counts = burst_of([&](double at) { return dip_a(at, stop_us, 0.6); });
  std::copy(counts.begin(), counts.end(), in.burst_counts);
  controller::take_burst(opening, planner, in, expected_us);
}

// 50 us of it may be the table's.
TEST(OpeningSeen, EightOpeningsAreWaitedForAndThreeQuartersTrimmed) {
  OpeningSeen opening;
  for (int k = 0; k < 7; ++k) open(opening, 2900.0, 2500);
  EXPECT_EQ(controller::opening_trim_us(opening), 0);
  open(opening, 2900.0, 2500);
  EXPECT_NEAR(controller::opening_late_us(opening), 400, 15);
  EXPECT_NEAR(controller::opening_trim_us(opening), 0.75 * (400 - 50), 12);
  // Each further one counts a sixteenth: after 16 at the old place (1 - 1/16)^16 = 0.36 is left.
  for (int k = 0; k < 24; ++k) open(opening, 2500.0, 2500);
  EXPECT_NEAR(controller::opening_late_us(opening), 200 * std::pow(15.0 / 16.0, 16), 15);
}

TEST(OpeningSeen, TheTrimHasASpan) {
  OpeningSeen late, early;
  for (int k = 0; k < 20; ++k) {
    open(late, 4500.0, 1000);
    open(early, 1500.0, 4500);
  }
  EXPECT_EQ(controller::opening_trim_us(late), 2000);
  EXPECT_EQ(controller::opening_trim_us(early), -2000);
}

TEST(OpeningSeen, OnlyABurstOfTheNewestPulseCountsAndOnlyAWholeOne) {
  OpeningSeen opening;
  open(opening, 2900.0, 0);                   // the table states no opening
  open(opening, 2900.0, 2500, 15'000, 1100);  // another pulse's
  open(opening, 2900.0, 2500, 15'000, 900);
  open(opening, 2900.0, 2500, 4700);  // closed before its last sample
  EXPECT_EQ(opening.openings, 0);
  open(opening, 2900.0, 2500, 4800);
  EXPECT_EQ(opening.openings, 1);
  open(opening, 9000.0, 2500);  // its stop lies behind the burst: nothing is seen
  EXPECT_EQ(opening.openings, 1);
}

TEST(OpeningSeen, WhatTheVoltageCorrectionCoversIsNotLate) {
  EXPECT_EQ(controller::expected_opening_us(2500, 0), 2500);
  EXPECT_EQ(controller::expected_opening_us(2500, 300), 2900);
  EXPECT_EQ(controller::expected_opening_us(0, 300), 0);
}

TEST(OpeningSeen, AValveIsSlowUntilItIsHalfAsLate) {
  OpeningSeen opening;
  const auto late = [&](int us) {
    opening = {.late_q4_us = 16 * us, .openings = 16};
    return opening;
  };
  EXPECT_FALSE(controller::is_slow(late(499), false));
  EXPECT_TRUE(controller::is_slow(late(500), false));
  EXPECT_TRUE(controller::is_slow(late(250), true));
  EXPECT_FALSE(controller::is_slow(late(249), true));
}

/// A row at 16 km/h over 150 mm whose table expects 2.5 ms, and its valve's stop at `stop_us`.
struct Ran {
  std::vector<test::ValvePulse> pulses;
  int late_events = 0;
  int alarms = 0;
};
Ran row_with(int expected_us, double stop_us) {
  sillion_config config = test::row_config();
  for (int k = 0; k < config.attachment.points; ++k) config.attachment.opening_us[k] = expected_us;
  test::FakeHardware hardware(config);
  hardware.burst = burst_of([&](double at) { return dip_a(at, stop_us, 0.6); });
  hardware.report_speed([](double) { return 4.4444; }, 0.0, 0, 3'000'000);
  for (int k = 0; k < 60; ++k) hardware.drop_seed(300'000 + k * 33'750);
  hardware.run_until(2'800'000);
  Ran ran{.pulses = hardware.pulses()};
  ran.late_events = hardware.count(SILLION_EVENT_OPENING_LATE);
  ran.alarms = hardware.count(SILLION_EVENT_ALARM);
  return ran;
}

TEST(OpeningSeen, TheRowOpensEarlierAndClosesAsBefore) {
  const Ran plain = row_with(0, 2900.0), trimmed = row_with(2500, 2900.0);
  ASSERT_EQ(plain.pulses.size(), 60u);
  ASSERT_EQ(trimmed.pulses.size(), 60u);
  EXPECT_EQ(trimmed.pulses[3].open_us, plain.pulses[3].open_us);
  EXPECT_NEAR(static_cast<double>(plain.pulses[50].open_us - trimmed.pulses[50].open_us),
              0.75 * (400 - 50), 12.0);
  EXPECT_NEAR(static_cast<double>(plain.pulses[50].close_us - trimmed.pulses[50].close_us), 0.0,
              1.0);
  EXPECT_EQ(trimmed.late_events, 0);
}

TEST(OpeningSeen, ASlowValveIsSaidOnce) {
  const Ran slow = row_with(2000, 2900.0);
  EXPECT_EQ(slow.late_events, 1);
  EXPECT_EQ(slow.alarms, 1);
  EXPECT_EQ(row_with(2700, 2900.0).alarms, 0);
}

}  // namespace
