// The clock's rate from few stamps by hand: one pair per window, so that every point of the hull,
// every limit of a pair and every move of the windows can be worked on paper.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "controller/clock_rate.h"

namespace {

using controller::ClockRate;
using controller::take_pair;

constexpr std::uint32_t kFirst_us = 2'500'000;  // length of the first windows
constexpr std::uint32_t kMachine_us = 1'000'000;
constexpr std::uint32_t kAhead_us = 77'000'000;

/// A pair `along_us` after the first, whose receive stamp is `ahead_us` further ahead than its.
void hear(ClockRate& clock, std::int64_t along_us, std::int64_t ahead_us) {
  const std::uint32_t machine_us = kMachine_us + static_cast<std::uint32_t>(along_us);
  take_pair(clock, machine_us, machine_us + kAhead_us + static_cast<std::uint32_t>(ahead_us));
}

/// The points of the first windows, each from one pair; a pair more closes the last window.
ClockRate clock_of(const std::vector<std::int64_t>& ahead_us) {
  ClockRate clock;
  for (std::size_t k = 0; k <= ahead_us.size(); ++k)
    hear(clock, static_cast<std::int64_t>(k) * kFirst_us,
         k < ahead_us.size() ? ahead_us[k] : ahead_us.back());
  return clock;
}

/// A slope of us per us in 2^-30, to the nearest.
std::int64_t slope_q30(double up_us, double along_us) {
  return std::llround(std::ldexp(up_us / along_us, 30));
}

std::uint32_t along_of(const ClockRate& clock, std::uint32_t window) {
  return clock.closed[window].machine_us - kMachine_us;
}

bool follows(std::int64_t along_us, std::int64_t ahead_us) {
  ClockRate clock;
  hear(clock, 0, 0);
  hear(clock, along_us, ahead_us);
  return clock.strange == 0;
}

// A pair follows when its machine's clock has gone on, by at most 10 s.
TEST(ClockRateBounds, APairComesAfterTheNewest) {
  EXPECT_FALSE(follows(-1, 0));
  EXPECT_FALSE(follows(0, 0));
  EXPECT_TRUE(follows(1, 0));
  EXPECT_TRUE(follows(10'000'000, 0));
  EXPECT_FALSE(follows(10'000'001, 0));
}

// Clocks differ by at most 2 %, which is 100 ms in 5 s, and one frame waits at most 300 ms longer
// than another.
TEST(ClockRateBounds, APairStaysWithinTwoPercentAndTheLongestWait) {
  for (const std::int64_t sign : {1, -1}) {
    EXPECT_TRUE(follows(5'000'000, sign * 400'000));
    EXPECT_FALSE(follows(5'000'000, sign * 400'001));
    EXPECT_TRUE(follows(100'000, sign * 302'000));
    EXPECT_FALSE(follows(100'000, sign * 302'001));
  }
}

// One pair that cannot follow is dropped, a second one in turn begins anew.
TEST(ClockRateBounds, ARepeatedStampTwiceInTurnForgets) {
  ClockRate clock = clock_of({0, 0, 0});
  ASSERT_EQ(clock.windows, 3);
  hear(clock, 3 * kFirst_us, 0);
  EXPECT_EQ(clock.windows, 3);
  EXPECT_EQ(clock.strange, 1);
  hear(clock, 3 * kFirst_us + 1, 0);  // follows: the one before is forgiven
  EXPECT_EQ(clock.strange, 0);
  hear(clock, 3 * kFirst_us + 1, 0);
  EXPECT_EQ(clock.windows, 3);
  hear(clock, 3 * kFirst_us, 0);
  EXPECT_EQ(clock.windows, 0);
  EXPECT_EQ(clock.window_from_us, kMachine_us + 3 * kFirst_us);
}

// Behind the very first pair too, one that cannot follow is dropped: the second one begins anew.
TEST(ClockRateBounds, TheFirstStrangePairIsDropped) {
  ClockRate clock;
  hear(clock, 0, 0);
  hear(clock, -1, 0);
  EXPECT_EQ(clock.window_from_us, kMachine_us);
  hear(clock, -2, 0);
  EXPECT_EQ(clock.window_from_us, kMachine_us - 2);
}

// A clock that is 1 % fast: 25 ms per window. Over three of them, 7.5 s, the bound is 10 ms/7.5 s =
// 0.133 %; 0.867 % are used, from the fourth window on. Heights are whole us: 1 us above the line
// counts twice, 2 us in 7.5 s are 286 x 2^-30.
TEST(ClockRateBounds, FourWindowsAreWaitedFor) {
  const ClockRate three = clock_of({0, 25'000, 50'000});
  EXPECT_EQ(three.windows, 3);
  EXPECT_EQ(three.found_q30, 0);
  for (const std::int64_t sign : {1, -1}) {
    const ClockRate four = clock_of({0, sign * 25'000, sign * 50'000, sign * 75'000});
    EXPECT_EQ(four.windows, 4);
    EXPECT_EQ(four.found_q30, sign * slope_q30(75'000, 7'500'000));
    EXPECT_NEAR(four.rate_q30, static_cast<double>(sign * slope_q30(65'000, 7'500'000)), 300.0);
  }
}

// Slope and bound are equal at 10 ms over 7.5 s: nothing is sure, but for the last digit's
// rounding.
TEST(ClockRateBounds, WhatTheBoundReachesIsNotUsed) {
  EXPECT_NEAR(clock_of({0, 3'333, 6'666, 10'000}).rate_q30, 0, 1);
  EXPECT_NEAR(clock_of({0, -3'333, -6'666, -10'000}).rate_q30, 0, 1);
  EXPECT_EQ(clock_of({0, 3'000, 6'000, 9'000}).rate_q30, 0);
}

// 3 % are beyond what a clock can be off: 2 % of 2^30 are 21474836.
TEST(ClockRateBounds, TwoPercentIsTheMost) {
  for (const std::int32_t sign : {1, -1}) {
    const ClockRate clock =
        clock_of({0, sign * 75'000, sign * 150'000, sign * 225'000, sign * 300'000});
    EXPECT_EQ(clock.found_q30, sign * 21'474'836);
    EXPECT_EQ(clock.rate_q30, sign * 21'474'836);
  }
}

// Points 0, 0, 30, 0 ms: the chord from the first to the last lies below all of them. The point
// above it, 30 ms, is the residual: nothing is sure.
TEST(ClockRateBounds, TheLastPointEndsAChord) {
  const ClockRate clock = clock_of({0, 0, 30'000, 0});
  EXPECT_EQ(clock.found_q30, 0);
  EXPECT_EQ(clock.rate_q30, 0);
}

// A hull of four points, 20, 0, 0, 20 ms: its edge above the middle is that of the two in between.
TEST(ClockRateBounds, TheEdgeAboveTheMiddleIsTaken) {
  EXPECT_EQ(clock_of({20'000, 0, 0, 20'000}).found_q30, 0);
  EXPECT_EQ(clock_of({20'000, 0, 1'000, 40'000}).found_q30, slope_q30(1'000, 2'500'000));
}

// 20 ms in each window of 2.56 s are 2^-7, so that every height is exact. All on the line: known to
// 10 ms/7.68 s. The first point 1 ms above the line through the others: 12 ms/5.12 s.
TEST(ClockRateBounds, TheBoundIsTheHandOverAndTwoResiduals) {
  const auto windows_of = [](std::int64_t first_us) {
    ClockRate clock;
    for (std::int64_t k = 0; k <= 4; ++k)
      hear(clock, k * 2'560'000, k == 0 ? first_us : k * 20'000);
    return clock;
  };
  constexpr std::int64_t kSlope_q30 = std::int64_t{1} << 23;
  constexpr std::int64_t kOne_q30 = std::int64_t{1} << 30;
  EXPECT_EQ(windows_of(0).found_q30, kSlope_q30);
  EXPECT_EQ(windows_of(0).rate_q30, kSlope_q30 - kOne_q30 * 10'000 / 7'680'000);
  EXPECT_EQ(windows_of(1000).found_q30, kSlope_q30);
  EXPECT_EQ(windows_of(1000).rate_q30, kSlope_q30 - kOne_q30 * 12'000 / 5'120'000);
}

// The third of five points lies at the middle of the baseline and lowest of all: the line below all
// points touches it, so the slope is that of one of the hull's two edges there, -20 or 40 ms over
// two windows.
TEST(ClockRateBounds, APointAtTheMiddleIsOnTheHull) {
  const ClockRate clock = clock_of({20'000, 10'000, 0, 20'000, 40'000});
  const std::int64_t right_q30 = slope_q30(40'000, 5'000'000);
  const std::int64_t left_q30 = slope_q30(-20'000, 5'000'000);
  EXPECT_TRUE(clock.found_q30 == right_q30 || clock.found_q30 == left_q30) << clock.found_q30;
}

// Both points of a chord count by their place: 0, -10, 20, 5 ms at 0, 1, 2, 3 windows. At 1.5
// windows the chord 1-3 passes at -10 + 15/4 = -6.25 ms, 0-3 at 2.5, 1-2 at 5, 0-2 at 15. The
// heights above 1-3 (7.5 ms per window) are 17.5 and 22.5 ms: known to 55 ms/5 s = 1.1 %, so that
// 0.3 % are not sure.
TEST(ClockRateBounds, TheLowestChordAcrossTheMiddleIsTaken) {
  const ClockRate clock = clock_of({0, -10'000, 20'000, 5'000});
  EXPECT_EQ(clock.found_q30, slope_q30(15'000, 5'000'000));
  EXPECT_EQ(clock.rate_q30, 0);
}

// 1.8 % fast, one point 8 ms above the line: known to (10 + 2 x 8) ms/7.5 s. Heights are in
// whole us: 2 us in 7.5 s are 286 x 2^-30.
TEST(ClockRateBounds, TheResidualCountsTwice) {
  const ClockRate clock = clock_of({0, 53'000, 90'100, 135'000});
  EXPECT_EQ(clock.found_q30, slope_q30(135'000, 7'500'000));
  EXPECT_NEAR(clock.rate_q30, static_cast<double>(slope_q30(135'000 - 26'000, 7'500'000)), 300.0);
}

// Of all pairs of a window the one that waited least is kept, the earlier of two alike.
TEST(ClockRateBounds, TheLeastOfAWindowIsKept) {
  ClockRate clock;
  hear(clock, 0, 5'000);
  hear(clock, 500'000, 4'000);
  hear(clock, 1'000'000, 4'000);
  hear(clock, 1'500'000, 4'001);
  hear(clock, 2'499'999, 9'000);
  EXPECT_EQ(clock.windows, 0);
  hear(clock, 2'500'000, 0);
  ASSERT_EQ(clock.windows, 1);
  EXPECT_EQ(along_of(clock, 0), 500'000u);
  EXPECT_EQ(clock.closed[0].ahead, kAhead_us + 4'000);
}

// Eight windows of 2.5 s are full: pairs of them become four of 5 s, and the ninth comes behind. Of
// each pair the point is kept that waited less, the earlier of two alike.
TEST(ClockRateBounds, FullWindowsBecomeHalfAsManyTwiceAsLong) {
  const ClockRate eight = clock_of({0, 0, 0, 0, 0, 0, 0, 0});
  EXPECT_EQ(eight.windows, 8);
  EXPECT_EQ(eight.window_us, 2'500'000);
  const ClockRate nine = clock_of({0, 0, 900, 0, 0, 900, 0, 0, 0});
  EXPECT_EQ(nine.windows, 5);
  EXPECT_EQ(nine.window_us, 5'000'000);
  const std::uint32_t kept[] = {0, 3, 4, 6, 8};
  for (std::uint32_t k = 0; k < 5; ++k) EXPECT_EQ(along_of(nine, k), kept[k] * kFirst_us) << k;
}

// A pair every 2.5 s for 302.5 s. Windows grow to 20 s and no further; the baseline then slides:
// the points stay 20 s apart, the newest at the end.
TEST(ClockRateBounds, WindowsGrowToTwentySecondsAndSlide) {
  ClockRate clock;
  std::uint8_t most = 0;
  for (std::int64_t k = 0; k <= 121; ++k) {
    hear(clock, k * kFirst_us, 0);
    most = std::max(most, clock.windows);
    EXPECT_LE(clock.window_us, 20'000'000);
  }
  EXPECT_EQ(most, 8);
  EXPECT_EQ(clock.windows, 8);
  EXPECT_EQ(clock.window_us, 20'000'000);
  for (std::uint32_t k = 0; k + 1 < 8; ++k)
    EXPECT_EQ(along_of(clock, k + 1) - along_of(clock, k), 20'000'000u) << k;
  // Eight of 2.5 s end at 20 s, those of 5 s at 42.5 s after one of 2.5 s, of 10 s at 82.5 s: from
  // there on every 20 s. The open one began at 302.5 s, the newest closed one 20 s before.
  EXPECT_EQ(clock.window_from_us, kMachine_us + 302'500'000);
  EXPECT_EQ(along_of(clock, 7), 282'500'000u);
}

// A clock that is 2^-7 fast counts 129 where the machine counts 128: every time of the law is
// longer in its ticks, its distances are not; speeds per million ticks are smaller, accelerations
// twice.
TEST(ClockRateBounds, EveryTimeIsPutIntoOwnTicks) {
  ClockRate clock;
  clock.rate_q30 = 1 << 23;
  const controller::DelayLaw own = in_ticks(clock, controller::DelayLaw{.delivery_us = 12'800,
                                                                        .path_um = 256,
                                                                        .band_um = 384,
                                                                        .lead_us = 6'400,
                                                                        .lag_us = 3'200,
                                                                        .shortest_on_us = 1'280});
  EXPECT_EQ(own.delivery_us, 12'900);
  EXPECT_EQ(own.path_um, 256);
  EXPECT_EQ(own.band_um, 384);
  EXPECT_EQ(own.lead_us, 6'450);
  EXPECT_EQ(own.lag_us, 3'225);
  EXPECT_EQ(own.shortest_on_us, 1'290);
  controller::RowMotion motion;
  motion.speed_umps = 129 * 1000;
  motion.accel_umps2 = 129 * 129 * 10;
  EXPECT_EQ(in_ticks(clock, motion).speed_umps, 128 * 1000);
  EXPECT_EQ(in_ticks(clock, motion).accel_umps2, 128 * 128 * 10);
}

}  // namespace
