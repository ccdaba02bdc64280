// The rest between two pulses, the sign of the delay, the most decisions of a call, and what a safe
// state leaves behind.
#include <gtest/gtest.h>

#include "controller/pulse_planner.h"
#include "controller/ticks.h"
#include "tests/controller/planner_bench.h"

namespace {

using namespace controller;

using Bench = test::PlannerBench;
using test::kNow;

/// Lead and lag added: 4000 and 1000 us right after a closing, nothing from 10 ms on.
sillion_correction falling() {
  sillion_correction rest{};
  rest.points = 2;
  rest.at[1] = 10'000;
  rest.lead_us[0] = 4000;
  rest.lag_us[0] = 1000;
  return rest;
}

// Closed 1 ms ago, 8 ms to the opening without a shift: 9 ms of rest. The shift is 0.4 (10 ms -
// rest), and the rest ends that much earlier. Three passes: 0.4 x 1 = 0.4 ms; 0.4 x (1 + 0.4) =
// 0.56; 0.4 x (1 + 0.56) = 0.624 (the end would be 0.667). The lag is a quarter of it.
TEST(PlannerRest, TheShiftEndsTheRestThatItBelongsTo) {
  Bench bench;
  bench.rest = falling();
  bench.closed_ago(1000);
  bench.add(8000);
  bench.plan();
  EXPECT_EQ(bench.planner.shift.lead_us, 624);
  EXPECT_EQ(bench.planner.shift.lag_us, 156);
  EXPECT_EQ(bench.opens_us(), 8000 - 624);
  EXPECT_EQ(bench.closes_us(), 28'000 - 156);
}

// An opening that is already past comes now: the rest lasts until now, 5 ms, and not until the
// instant that was missed. 0.4 x 5 = 2 ms; then 0.4 x 7 = 2.8; 0.4 x 7.8 = 3.12.
TEST(PlannerRest, ALateOpeningRestsUntilNow) {
  Bench bench;
  bench.rest = falling();
  bench.closed_ago(5000);
  bench.add(-1000);
  bench.plan();
  EXPECT_EQ(bench.planner.pulse.shift.lead_us, 3120);
  EXPECT_TRUE(bench.planner.pulse.open);
}

// A table that still gives 100 us at 0.5 s and nothing from 3 s on. Up to 1 s behind the closing
// the rest counts: 1.001 s are 0.501/2.5 of the way down, 80 us. Later the pulse stands alone and
// takes the last point; so does one whose closing the counter shows ahead, half a range later.
TEST(PlannerRest, AfterASecondThePulseStandsAlone) {
  struct Case {
    std::int32_t ago_us;
    std::int32_t lead_us;
  };
  for (const Case& one :
       {Case{1'000'000, 80}, Case{1'000'001, 0}, Case{-1, 0}, Case{-INT32_MAX, 0}, Case{0, 100}}) {
    Bench bench;
    bench.rest.points = 2;
    bench.rest.at[0] = 500'000;
    bench.rest.at[1] = 3'000'000;
    bench.rest.lead_us[0] = 100;
    bench.closed_ago(one.ago_us);
    bench.add(1000);
    bench.plan();
    EXPECT_EQ(bench.planner.shift.lead_us, one.lead_us) << one.ago_us;
    EXPECT_EQ(bench.opens_us(), 1000 - one.lead_us) << one.ago_us;
    EXPECT_EQ(bench.planner.has_closed, one.ago_us >= 0 && one.ago_us <= 1'000'000) << one.ago_us;
  }
}

// A row that has not closed since it began to run: the last point.
TEST(PlannerRest, TheFirstPulseStandsAlone) {
  Bench bench;
  bench.rest = falling();
  bench.rest.lead_us[1] = -70;
  bench.planner.closed_ticks = kNow - 1000;  // of before
  bench.add(8000);
  bench.plan();
  EXPECT_EQ(bench.planner.shift.lead_us, -70);
  EXPECT_EQ(bench.opens_us(), 8070);
}

// A delay of 0 is not negative, one of -1 us is: said once, and every seed fires however late.
TEST(PlannerRest, ADelayOfZeroIsNotNegative) {
  for (const std::int32_t lead_us : {99'999, 100'000, 100'001}) {
    Bench bench;
    bench.law.lead_us = lead_us;
    bench.add(100'000 - 6000);  // the lead makes it 6 ms late, give or take 1 us
    bench.plan();
    const bool negative = lead_us == 100'001;
    EXPECT_EQ(bench.planner.delay_negative, negative);
    EXPECT_EQ(bench.planner.pulse.open, negative);
    EXPECT_EQ(bench.out.events[0].code == SILLION_EVENT_NEGATIVE_DELAY, negative);
    EXPECT_EQ(bench.out.event_count, negative ? 2u : 1u);
    bench.plan();
    EXPECT_EQ(bench.out.event_count, 0u);
  }
}

// The most that one call has to decide: the open pulse closes, then 64 seeds, all due in this very
// instant, open and close, as a valve without shortest times would. None stays open.
TEST(PlannerRest, ACallDecidesForAFullQueue) {
  Bench bench;
  bench.law.band_um = 0;
  bench.shortest_closed_us = 0;
  bench.planner.pulse = {true, kNow - 5000, kNow - 5000, true, Bench::opens_in(-5000), {}};
  for (std::size_t k = 0; k < SeedQueue::kCapacity; ++k) bench.add(0);
  bench.plan();
  EXPECT_EQ(bench.planner.openings, 64u);
  EXPECT_TRUE(bench.queue.empty());
  EXPECT_FALSE(bench.planner.pulse.open);
  EXPECT_EQ(bench.out.bridge.state, SILLION_BRIDGE_FAST_DECAY);
  EXPECT_EQ(bench.health.merged_seeds, 0u);
}

// The seeds in the queue, the one whose pulse runs and the lost one are placed alike.
TEST(PlannerRest, EverySeedInFlightIsPlaced) {
  Bench bench;
  Seed seed;
  seed.edge_ticks = kNow;
  bench.queue.push(seed);
  seed.edge_ticks = kNow + 1;  // its delivery time is not over
  bench.queue.push(seed);
  seed.edge_ticks = kNow - 8;
  bench.planner.pulse.last = bench.planner.lost = seed;
  bench.planner.pulse.has_last = true;
  place_seeds(bench.planner, bench.queue, bench.present());
  EXPECT_EQ(bench.queue.at(0).placed, 1u);
  EXPECT_EQ(bench.queue.at(1).placed, 0u);
  EXPECT_EQ(bench.planner.pulse.last.placed, 1u);
  EXPECT_EQ(bench.planner.pulse.last.reference_8nm, static_cast<std::uint32_t>(-1000));  // -8 um
  EXPECT_EQ(bench.planner.lost.placed, 0u);  // none is lost
  bench.planner.lost_ahead = true;
  place_seeds(bench.planner, bench.queue, bench.present());
  EXPECT_EQ(bench.planner.lost.placed, 1u);
}

// A safe state closes now, whatever is believed to be armed, books the band so far, counts the
// seeds that it takes, and leaves nothing for the next pulse, which stands alone.
TEST(PlannerRest, ASafeStateLeavesNothing) {
  Bench bench;
  bench.planner.pulse = {true, kNow - 5000, kNow - 5000, true, Bench::opens_in(0), {}};
  bench.planner.streaming = bench.planner.lost_ahead = true;
  bench.add(1000);
  bench.add(2000);
  Report report{bench.out, bench.health, kNow};
  shut_down(bench.planner, bench.queue, bench.present(), report);
  EXPECT_EQ(bench.out.bridge_valid, 1u);
  EXPECT_EQ(bench.out.bridge.state, SILLION_BRIDGE_FAST_DECAY);
  ASSERT_EQ(bench.out.compare_count, 2u);
  for (std::uint8_t k = 0; k < 2; ++k) {
    EXPECT_EQ(bench.out.compares[k].channel, k);
    EXPECT_EQ(bench.out.compares[k].armed, 0);
  }
  EXPECT_FALSE(bench.planner.opening.armed);
  EXPECT_FALSE(bench.planner.closing.armed);
  EXPECT_FALSE(bench.planner.pulse.open);
  EXPECT_FALSE(bench.planner.pulse.has_last);
  EXPECT_EQ(bench.planner.band_time_us, 5000);
  EXPECT_FALSE(bench.planner.streaming);
  EXPECT_FALSE(bench.planner.lost_ahead);
  EXPECT_FALSE(bench.planner.has_closed);
  EXPECT_TRUE(bench.queue.empty());
  EXPECT_EQ(bench.health.skipped_seeds, 2u);
}

// The stream's time counts once per tick, from where it was counted last.
TEST(PlannerRest, TheStreamCountsItsTime) {
  Bench bench;
  bench.planner.pulse.counted_ticks = kNow - 1000;
  Report report{bench.out, bench.health, kNow};
  count_stream_time(bench.planner, report);
  EXPECT_EQ(bench.health.continuous_ms, 0u);
  EXPECT_EQ(bench.planner.band_time_us, 0);
  bench.planner.streaming = true;
  count_stream_time(bench.planner, report);
  count_stream_time(bench.planner, report);
  EXPECT_EQ(bench.health.continuous_ms, 2u);
  EXPECT_EQ(bench.planner.band_time_us, 1000);
  EXPECT_EQ(bench.planner.pulse.counted_ticks, kNow);
}

}  // namespace
