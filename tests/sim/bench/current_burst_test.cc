#include "sim/bench/current_burst.h"

#include <gtest/gtest.h>

#include <vector>

namespace {

using shared::Instant;
using shared::microseconds;
using sim::bench::BurstRecorder;
using sim::bench::CurrentBurst;

/// A count is 1 mA; 5 samples, one in 100 us.
sillion_hardware hardware() {
  return {.tick_ns = 1000,
          .counter_bits = 32,
          .analog_bits = 10,
          .burst_samples = 5,
          .burst_period_ticks = 100};
}

Instant at_us(std::int64_t us) { return Instant{} + microseconds(us); }

/// Moves on in steps of 30 us; the current is 1 mA per us since 0.
void run(BurstRecorder& recorder, std::int64_t from_us, std::int64_t to_us) {
  const auto current_a = [](std::int64_t us) { return 1e-3 * static_cast<double>(us); };
  for (std::int64_t us = from_us; us < to_us; us += 30)
    recorder.step(at_us(us), at_us(us + 30), current_a(us), current_a(us + 30));
}

std::vector<int> counts_of(const CurrentBurst& burst) {
  return {burst.counts, burst.counts + burst.count};
}

TEST(CurrentBurst, SamplesLieOnTheLineBetweenTheEndsOfAStep) {
  BurstRecorder recorder(hardware(), 0.0, 1023);
  recorder.begin(at_us(7));
  run(recorder, 0, 510);
  const CurrentBurst burst = recorder.take();
  EXPECT_EQ(burst.start, at_us(7));
  EXPECT_EQ(counts_of(burst), (std::vector<int>{107, 207, 307, 407, 507}));
  EXPECT_EQ(recorder.take().count, 0u);
}

// By a clock that is a tenth fast a period takes 90.9 us.
TEST(CurrentBurst, PeriodsAreOfTheControllersOwnClock) {
  BurstRecorder recorder(hardware(), 0.1, 1023);
  recorder.begin(at_us(0));
  run(recorder, 0, 510);
  EXPECT_EQ(counts_of(recorder.take()), (std::vector<int>{91, 182, 273, 364, 455}));
}

TEST(CurrentBurst, OneThatIsUnderWayGoesOnAndOnlyWholeOnesAreHandedOver) {
  BurstRecorder recorder(hardware(), 0.0, 1023);
  recorder.begin(at_us(0));
  run(recorder, 0, 300);
  EXPECT_EQ(recorder.take().count, 0u);
  recorder.begin(at_us(300));
  run(recorder, 300, 510);
  EXPECT_EQ(counts_of(recorder.take()), (std::vector<int>{100, 200, 300, 400, 500}));
}

TEST(CurrentBurst, OfTwoTheNewestIsHandedOver) {
  BurstRecorder recorder(hardware(), 0.0, 1023);
  recorder.begin(at_us(0));
  run(recorder, 0, 510);
  recorder.begin(at_us(510));
  run(recorder, 510, 1020);
  EXPECT_EQ(counts_of(recorder.take()), (std::vector<int>{610, 710, 810, 910, 1010}));
  EXPECT_EQ(recorder.take().count, 0u);
}

TEST(CurrentBurst, ABuildThatDeclaresNoneHasNone) {
  sillion_hardware none = hardware();
  none.burst_samples = none.burst_period_ticks = 0;
  BurstRecorder recorder(none, 0.0, 1023);
  recorder.begin(at_us(0));
  run(recorder, 0, 1000);
  EXPECT_EQ(recorder.take().count, 0u);
}

}  // namespace
