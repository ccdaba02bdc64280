#include "controller/tracker.h"

#include <gtest/gtest.h>

#include "controller/speed_estimate.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::take_sample;
using controller::Taken;
using controller::Tracker;
using controller::TrackerSetup;

constexpr TrackerSetup kStraight{1'000, 10'000, 2'000'000, 0};

Tracker at_rest_at(std::int64_t value, std::uint32_t at_ticks) {
  Tracker tracker;
  restart(tracker, value, at_ticks);
  return tracker;
}

// 20 ms is the nearest that a sample may follow, 2 s the farthest that still continues the line.
TEST(Tracker, ASampleIsNewFrom20MsOnAndContinuesUpTo2S) {
  Tracker tracker = at_rest_at(0, 1000);
  EXPECT_EQ(take_sample(tracker, kStraight, 500, 1000 + 19'999), Taken::kRepeated);
  EXPECT_EQ(tracker.samples, 1);
  EXPECT_EQ(take_sample(tracker, kStraight, 500, 1000 + 20'000), Taken::kUsed);
  EXPECT_EQ(tracker.samples, 2);
  tracker = at_rest_at(0, 1000);
  EXPECT_EQ(take_sample(tracker, kStraight, 500, 1000 + 2'000'000), Taken::kUsed);
  EXPECT_EQ(tracker.samples, 2);
  EXPECT_EQ(tracker.value, 250) << "the mean of the two";
  tracker = at_rest_at(0, 1000);
  EXPECT_EQ(take_sample(tracker, kStraight, 500, 1000 + 2'000'001), Taken::kUsed);
  EXPECT_EQ(tracker.samples, 1);
  EXPECT_EQ(tracker.value, 500) << "the line starts anew";
}

TEST(Tracker, ATimeBeforeTheLastStartsAnew) {
  Tracker tracker = at_rest_at(0, 5000);
  EXPECT_EQ(take_sample(tracker, kStraight, 700, 4999), Taken::kUsed);
  EXPECT_EQ(tracker.samples, 1);
  EXPECT_EQ(tracker.value, 700);
  EXPECT_EQ(tracker.at_ticks, 4999u);
}

// The gate is 10 000 up to 0.1 s, 20 000 at 0.2 s and 30 000 from 0.3 s on, on both sides.
TEST(Tracker, TheGateGrowsWithTheGapUpTo300Ms) {
  struct Case {
    std::uint32_t gap_us;
    std::int64_t gate;
  };
  for (const Case& one : {Case{50'000, 10'000}, Case{100'000, 10'000}, Case{200'000, 20'000},
                          Case{300'000, 30'000}, Case{900'000, 30'000}}) {
    for (const int side : {-1, 1}) {
      Tracker tracker = at_rest_at(0, 1000);
      EXPECT_EQ(take_sample(tracker, kStraight, side * one.gate, 1000 + one.gap_us), Taken::kUsed)
          << one.gap_us;
      tracker = at_rest_at(0, 1000);
      EXPECT_EQ(take_sample(tracker, kStraight, side * (one.gate + 1), 1000 + one.gap_us),
                Taken::kSetAside)
          << one.gap_us;
    }
  }
}

// Samples set aside on opposite sides do not confirm each other; two on one side do.
TEST(Tracker, OnlyASecondSampleOnTheSameSideIsBelieved) {
  Tracker tracker = at_rest_at(0, 1000);
  EXPECT_EQ(take_sample(tracker, kStraight, 50'000, 101'000), Taken::kSetAside);
  EXPECT_EQ(take_sample(tracker, kStraight, -50'000, 201'000), Taken::kSetAside);
  EXPECT_EQ(take_sample(tracker, kStraight, -50'000, 301'000), Taken::kUsed);
  EXPECT_EQ(tracker.value, -50'000);
  tracker = at_rest_at(0, 1000);
  EXPECT_EQ(take_sample(tracker, kStraight, 50'000, 101'000), Taken::kSetAside);
  EXPECT_EQ(take_sample(tracker, kStraight, 0, 201'000), Taken::kUsed);
  EXPECT_EQ(take_sample(tracker, kStraight, 50'000, 301'000), Taken::kSetAside)
      << "a good sample in between is forgotten";
}

// The line through samples of a straight signal is that signal, up and down, also where it wraps:
// 1 rad/s through the full circle of 6 283 185 urad.
TEST(Tracker, AStraightSignalIsFollowedThroughTheCircle) {
  constexpr TrackerSetup kCircle{2'000, 200'000, 1'500'000, 6'283'185};
  for (const int sign : {-1, 1}) {
    const std::int64_t from = sign > 0 ? 3'000'000 : 3'283'185;
    Tracker tracker = at_rest_at(from, 0);
    for (int k = 1; k <= 60; ++k) {
      const std::int64_t along = from + std::int64_t{sign} * 100'000 * k;
      const std::int64_t wrapped = ((along % 6'283'185) + 6'283'185) % 6'283'185;
      EXPECT_EQ(take_sample(tracker, kCircle, wrapped, static_cast<std::uint32_t>(k) * 100'000u),
                Taken::kUsed)
          << k;
    }
    EXPECT_NEAR(static_cast<double>(tracker.slope_ps), sign * 1e6, 1e3);
    EXPECT_NEAR(static_cast<double>(tracker.value), static_cast<double>(from) + sign * 6e6, 1e3);
  }
}

// Samples every 0.5 s would fill a memory of 2 s with 4, the fewest; every 20 ms with 100, of which
// 64 are kept.
TEST(Tracker, TheMemoryHoldsFourTo64Samples) {
  Tracker slow = at_rest_at(0, 0);
  for (std::uint32_t k = 1; k <= 20; ++k) take_sample(slow, kStraight, 0, k * 900'000);
  EXPECT_EQ(slow.samples, 4);
  Tracker fast = at_rest_at(0, 0);
  for (std::uint32_t k = 1; k <= 200; ++k) take_sample(fast, kStraight, 0, k * 20'000);
  EXPECT_EQ(fast.samples, 64);
}

}  // namespace
