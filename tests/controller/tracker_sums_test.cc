// The follower of a noisy signal sample by sample, each worked by hand from the laws at the top of
// controller/tracker.h.
#include <gtest/gtest.h>

#include "controller/tracker.h"

namespace {

using controller::Taken;
using controller::Tracker;
using controller::TrackerSetup;

constexpr std::uint32_t kFrom = 0xfffe'0000u;  // the counter wraps behind the second sample

/// Noise of 4: 0.75 of it are 3, 5 of it are 20.
constexpr TrackerSetup kSetup{4, 1000, 6'400'000, 0};

struct Signal {
  explicit Signal(const TrackerSetup& with = kSetup) : setup(with) {}
  Taken take(std::int64_t value, std::int32_t dt_us = 100'000) {
    ticks += static_cast<std::uint32_t>(dt_us);
    return take_sample(tracker, setup, value, ticks);
  }
  /// That many samples of 0 in all, the first of them the beginning.
  void rest(int samples) {
    for (int k = 0; k < samples; ++k) take(0);
  }
  TrackerSetup setup;
  Tracker tracker;
  std::uint32_t ticks = kFrom;
};

// The line of least squares through 0, 0, 0 and 20 rises by 6 per sample and ends at 14.
TEST(TrackerSums, TheFourthSampleMakesALineOfLeastSquares) {
  Signal signal;
  signal.rest(3);
  EXPECT_EQ(signal.tracker.slope_ps, 0);
  signal.take(20);
  EXPECT_EQ(signal.tracker.samples, 4);
  EXPECT_EQ(signal.tracker.value, 14);
  EXPECT_EQ(signal.tracker.slope_ps, 60) << "6 in 0.1 s";
  signal.take(20);
  EXPECT_EQ(signal.tracker.value, 20) << "predicted 20 and measured 20";
  EXPECT_EQ(signal.tracker.slope_ps, 60);
}

TEST(TrackerSums, BelowFourSamplesTheValueIsTheirMeanAtRest) {
  Signal signal;
  signal.take(10);
  EXPECT_EQ(signal.tracker.value, 10);
  EXPECT_EQ(signal.tracker.samples, 1);
  signal.take(20);
  EXPECT_EQ(signal.tracker.value, 15);
  signal.take(30);
  EXPECT_EQ(signal.tracker.value, 20);
  EXPECT_EQ(signal.tracker.slope_ps, 0);
  EXPECT_EQ(signal.tracker.samples, 3);
}

TEST(TrackerSums, EachSideHasItsSumAbove3) {
  Signal up;
  up.rest(1);
  up.take(10);
  EXPECT_EQ(up.tracker.above, 7);
  EXPECT_EQ(up.tracker.below, 0);
  up.take(5 + 6);
  EXPECT_EQ(up.tracker.above, 10) << "6 above the mean of before";
  Signal down;
  down.rest(1);
  down.take(-10);
  EXPECT_EQ(down.tracker.above, 0);
  EXPECT_EQ(down.tracker.below, 7);
  down.take(-5 - 6);
  EXPECT_EQ(down.tracker.below, 10);
  Signal quiet;
  quiet.rest(1);
  quiet.take(3);
  EXPECT_EQ(quiet.tracker.above, 0);
}

TEST(TrackerSums, TheLineHasTurnedAbove20) {
  for (const int side : {-1, 1}) {
    Signal same;
    same.rest(8);
    same.take(side * 23);
    EXPECT_EQ(same.tracker.samples, 9);
    EXPECT_EQ(side > 0 ? same.tracker.above : same.tracker.below, 20);
    Signal turned;
    turned.rest(8);
    turned.take(side * 24);
    EXPECT_EQ(turned.tracker.samples, 4);
    EXPECT_EQ(turned.tracker.above, 0);
    EXPECT_EQ(turned.tracker.below, 0);
  }
}

TEST(TrackerSums, AShortLineGrowsOnThoughItTurns) {
  for (int samples = 1; samples <= 4; ++samples) {
    Signal signal;
    signal.rest(samples);
    signal.take(24);
    EXPECT_EQ(signal.tracker.samples, samples + 1);
    EXPECT_EQ(signal.tracker.above, 0) << "the sums begin anew all the same";
  }
  Signal longer;
  longer.rest(5);
  longer.take(24);
  EXPECT_EQ(longer.tracker.samples, 4);
}

TEST(TrackerSums, TheMemorySpansItsTime) {
  Signal nine({4, 1000, 900'000, 0});
  nine.rest(20);
  EXPECT_EQ(nine.tracker.samples, 9);
  Signal most({4, 1000, 100'000'000, 0});
  most.rest(80);
  EXPECT_EQ(most.tracker.samples, 64);
  Signal fewest({4, 1000, 200'000, 0});
  fewest.rest(20);
  EXPECT_EQ(fewest.tracker.samples, 4);
}

TEST(TrackerSums, TheGateGrowsWithGapsUpToThreePeriods) {
  const std::pair<std::int32_t, std::int64_t> cases[] = {
      {20'000, 1000}, {100'000, 1000}, {150'000, 1500}, {300'000, 3000}, {900'000, 3000}};
  for (const auto& [dt_us, gate] : cases) {
    for (const int side : {-1, 1}) {
      Signal signal;
      signal.rest(1);
      EXPECT_EQ(signal.take(side * gate, dt_us), Taken::kUsed) << dt_us;
      Signal beyond;
      beyond.rest(1);
      EXPECT_EQ(beyond.take(side * (gate + 1), dt_us), Taken::kSetAside) << dt_us;
      EXPECT_EQ(beyond.tracker.value, 0);
      EXPECT_EQ(beyond.tracker.aside, side);
    }
  }
}

TEST(TrackerSums, ASecondOutlierOnTheSameSideStartsTheLineAnew) {
  Signal signal;
  signal.rest(3);
  signal.take(20);
  ASSERT_NE(signal.tracker.slope_ps, 0);
  ASSERT_NE(signal.tracker.above, 0);
  EXPECT_EQ(signal.take(5000), Taken::kSetAside);
  EXPECT_EQ(signal.take(-5000), Taken::kSetAside) << "on the other side";
  EXPECT_EQ(signal.take(-5001), Taken::kUsed);
  EXPECT_EQ(signal.tracker.value, -5001);
  EXPECT_EQ(signal.tracker.slope_ps, 0);
  EXPECT_EQ(signal.tracker.samples, 1);
  EXPECT_EQ(signal.tracker.above, 0);
  EXPECT_EQ(signal.tracker.below, 0);
  EXPECT_EQ(signal.tracker.aside, 0);
  EXPECT_TRUE(signal.tracker.any);
  EXPECT_EQ(signal.tracker.at_ticks, signal.ticks);
}

TEST(TrackerSums, ASampleInOrderEndsTheDoubt) {
  Signal signal;
  signal.rest(1);
  EXPECT_EQ(signal.take(5000), Taken::kSetAside);
  EXPECT_EQ(signal.take(0), Taken::kUsed);
  EXPECT_EQ(signal.tracker.aside, 0);
  EXPECT_EQ(signal.take(5000), Taken::kSetAside);
}

TEST(TrackerSums, SamplesCountFrom20MillisecondsTo2Seconds) {
  for (const auto& [dt_us, taken, samples] : {std::tuple{0, Taken::kRepeated, 4},
                                              {19'999, Taken::kRepeated, 4},
                                              {20'000, Taken::kUsed, 5},
                                              {2'000'000, Taken::kUsed, 4},
                                              {2'000'001, Taken::kUsed, 1},
                                              {-1, Taken::kUsed, 1}}) {
    Signal signal;
    signal.rest(4);
    EXPECT_EQ(signal.take(0, dt_us), taken) << dt_us;
    EXPECT_EQ(signal.tracker.samples, samples) << dt_us << ": 6.4 s are 3.2 times 2 s";
  }
}

// A circle of 7: the shortest way to any value is at most 3, and the mean of two samples is half of
// it, halves away from zero.
TEST(TrackerSums, OnACircleTheShortestWayCounts) {
  const std::pair<std::int64_t, std::int64_t> cases[] = {{0, 0},  {3, 2},    {4, -2},  {6, -1},
                                                         {7, 0},  {10, 2},   {-3, -2}, {-4, 2},
                                                         {-7, 0}, {-10, -2}, {12, -1}};
  for (const auto& [value, wanted] : cases) {
    Signal signal({4, 1000, 6'400'000, 7});
    signal.rest(1);
    signal.take(value);
    EXPECT_EQ(signal.tracker.value, wanted) << value;
  }
  Signal straight;
  straight.rest(1);
  straight.take(10);
  EXPECT_EQ(straight.tracker.value, 5);
}

}  // namespace
