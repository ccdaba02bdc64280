// What the planner asks for and what it leaves alone: compares that are not armed, matches that are
// none, a pulse without a seed, a stream that goes on.
#include <gtest/gtest.h>

#include "controller/pulse_planner.h"
#include "tests/controller/planner_bench.h"

namespace {

using namespace controller;
using Bench = test::PlannerBench;
using test::kNow;

// A compare that is not armed is asked for, also at the instant that it had last.
TEST(PlannerRequests, AnInstantIsAskedForUnlessItIsArmed) {
  Bench bench;
  bench.planner.opening = {false, kNow + 300};
  bench.add(300);
  bench.plan();
  EXPECT_TRUE(bench.arms(kOpenChannel, kNow + 300));
  EXPECT_TRUE(bench.planner.opening.armed);
}

// 1 us ahead is ahead.
TEST(PlannerRequests, TheNextMicrosecondIsAhead) {
  Bench bench;
  bench.add(1);
  bench.plan();
  EXPECT_TRUE(bench.arms(kOpenChannel, kNow + 1));
  EXPECT_EQ(bench.health.late_compares, 0u);
}

TEST(PlannerRequests, ACancelIsForNow) {
  Bench bench;
  bench.open_for(Bench::opens_in(-20'100), kNow - 20'100);
  bench.planner.closing = {true, kNow + 900};
  bench.plan();
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_FAST_DECAY));
  ASSERT_TRUE(bench.cancels(kCloseChannel));
  const sillion_compare_request& cancel = *bench.request(kCloseChannel);
  EXPECT_EQ(cancel.at_ticks, kNow);
  EXPECT_EQ(cancel.reserved, 0);
  EXPECT_EQ(cancel.then.state, SILLION_BRIDGE_FAST_DECAY);
  EXPECT_EQ(bench.planner.closed_ticks, kNow);
}

// The lag of a pulse that stands alone is 3 ms longer here, so that 17 ms would be left of its 20:
// it is open for its shortest time, 20 ms, all the same.
TEST(PlannerRequests, AShiftMakesNoPulseTooShort) {
  Bench bench;
  bench.rest.points = 1;
  bench.rest.lag_us[0] = 3000;
  bench.add(300);
  bench.plan();
  EXPECT_EQ(bench.closes_us(), 17'300);
  bench.law.shortest_on_us = 20'000;
  bench.plan();
  EXPECT_EQ(bench.opens_us(), 300);
  EXPECT_EQ(bench.closes_us(), 20'300);
}

// A pulse for no seed ends after its shortest time, whatever seed was in one before; a seed that
// joins it is its last from then on.
TEST(PlannerRequests, APulseForNoSeedTakesOneIn) {
  Bench bench;
  bench.law.shortest_on_us = 4000;
  bench.open_for(Bench::opens_in(-10'000), kNow);
  bench.planner.pulse.has_last = false;
  bench.plan();
  EXPECT_EQ(bench.closes_us(), 4000);
  bench.add(6000, 5);
  bench.plan();
  EXPECT_EQ(bench.closes_us(), 26'000);
  EXPECT_TRUE(bench.planner.pulse.has_last);
  EXPECT_EQ(bench.planner.pulse.last.number, 5u);
  ASSERT_EQ(bench.out.event_count, 1u);
  EXPECT_EQ(bench.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_MERGED));
  EXPECT_EQ(bench.out.events[0].a, 5);
  bench.plan();
  EXPECT_EQ(bench.closes_us(), 26'000);
}

// A stream is begun once; the seed that it served last closes it.
TEST(PlannerRequests, AStreamIsBegunOnce) {
  Bench bench;
  bench.add(-2000, 3);
  bench.add(-1000, 4);
  bench.add(5000, 5);
  bench.plan(true);
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_DRIVE));
  EXPECT_EQ(bench.planner.pulse.last.number, 4u);
  EXPECT_EQ(bench.queue.size(), 1u);
  bench.plan(true);
  EXPECT_EQ(bench.out.bridge_valid, 0u);
  EXPECT_EQ(bench.planner.openings, 1u);
}

// What is not armed matches nothing, and what no report speaks of has not matched, however long its
// instant is past.
TEST(PlannerRequests, OnlyAReportOfAnArmedCompareIsAMatch) {
  Bench unarmed;
  unarmed.add(-10);
  unarmed.planner.opening = {false, kNow - 10};
  unarmed.match(kOpenChannel, SILLION_COMPARE_MATCHED);
  EXPECT_FALSE(unarmed.planner.pulse.open);
  EXPECT_EQ(unarmed.queue.size(), 1u);
  Bench silent;
  silent.add(-10);
  silent.planner.opening = silent.planner.closing = {true, kNow - 10};
  silent.match(kOpenChannel, 0);
  EXPECT_TRUE(silent.planner.opening.armed);
  EXPECT_TRUE(silent.planner.closing.armed);
  EXPECT_FALSE(silent.planner.pulse.open);
}

TEST(PlannerRequests, AClosingThatMatchedIsOver) {
  Bench open;
  open.open_for(Bench::opens_in(-20'000), kNow - 20'000);
  open.planner.closing = {true, kNow - 10};
  open.match(kCloseChannel, SILLION_COMPARE_MATCHED);
  EXPECT_FALSE(open.planner.closing.armed);
  EXPECT_EQ(open.planner.closed_ticks, kNow - 10);
  EXPECT_EQ(open.planner.band_time_us, 19'990);
  // A valve that is closed does not close again.
  Bench closed;
  closed.planner.closing = {true, kNow};
  closed.match(kCloseChannel, SILLION_COMPARE_MATCHED);
  EXPECT_FALSE(closed.planner.closing.armed);
  EXPECT_FALSE(closed.planner.has_closed);
  EXPECT_EQ(closed.planner.band_time_us, 0);
}

// 1 ms open with a lead of 4 and a lag of 3 ms leaves nothing; 1.001 ms leave 1 us.
TEST(PlannerRequests, APulseTooShortForABandLeavesNone) {
  for (const std::int32_t on_us : {900, 1000, 1001}) {
    Bench bench;
    bench.law.lead_us = 4000;
    bench.law.lag_us = 3000;
    bench.open_for(Bench::opens_in(-20'000), later(kNow, -on_us));
    bench.planner.closing = {true, kNow};
    bench.match(kCloseChannel, SILLION_COMPARE_MATCHED);
    EXPECT_EQ(bench.planner.band_time_us, on_us == 1001 ? 1 : 0) << on_us;
  }
}

// A safe state of a row whose valve is closed books no band and is no closing.
TEST(PlannerRequests, AClosedValveIsShutDownWithoutABand) {
  Bench bench;
  bench.shut();
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_FAST_DECAY));
  EXPECT_EQ(bench.planner.band_time_us, 0);
  EXPECT_EQ(bench.planner.closed_ticks, 0u);
}

// Every seed of the queue is placed, the last one too.
TEST(PlannerRequests, EverySeedOfTheQueueIsPlaced) {
  Bench bench;
  for (std::uint32_t k = 0; k < 3; ++k) {
    Seed seed;
    seed.edge_ticks = kNow - 8 * k;
    bench.queue.push(seed);
  }
  place_seeds(bench.planner, bench.queue, bench.present());
  for (std::uint32_t k = 0; k < 3; ++k) {
    EXPECT_EQ(bench.queue.at(k).placed, 1u) << k;
    EXPECT_EQ(bench.queue.at(k).reference_8nm, 0u - 1000 * k) << k;  // 8 um at 1 m/s
  }
}

// A shift that rises by 400 us for each us of rest: right behind a closing there is no rest and no
// shift.
TEST(PlannerRequests, NoRestIsNoRest) {
  for (const std::int32_t open_us : {-10, 0}) {
    Bench bench;
    bench.rest.points = 2;
    bench.rest.at[1] = 10;
    bench.rest.lead_us[1] = 4000;
    bench.closed_ago(0);
    bench.add(open_us);
    bench.plan();
    EXPECT_EQ(bench.planner.pulse.shift.lead_us, 0) << open_us;
    EXPECT_TRUE(bench.planner.pulse.open);
  }
}

}  // namespace
