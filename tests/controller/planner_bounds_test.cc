// The planner at the limits of its decisions: each time exactly at the limit, one us below and one
// above; and what each decision asks of the hardware.
#include <gtest/gtest.h>

#include "controller/pulse_planner.h"
#include "controller/ticks.h"
#include "tests/controller/planner_bench.h"

namespace {

using namespace controller;

using Bench = test::PlannerBench;
using test::kNow;

TEST(PlannerBounds, ASeedArmsBothCompares) {
  Bench bench;
  bench.queue.push(Bench::opens_in(300));
  bench.plan();
  EXPECT_TRUE(bench.arms(kOpenChannel, kNow + 300));
  EXPECT_TRUE(bench.arms(kCloseChannel, kNow + 20'300));
  const sillion_compare_request& opening = *bench.request(kOpenChannel);
  EXPECT_EQ(opening.then.state, SILLION_BRIDGE_DRIVE);
  EXPECT_EQ(opening.then.duty_q15, 32'768);  // full
  EXPECT_EQ(opening.then.current_ma, 2000u);
  EXPECT_EQ(opening.reserved, 0);
  const sillion_compare_request& closing = *bench.request(kCloseChannel);
  EXPECT_EQ(closing.then.state, SILLION_BRIDGE_FAST_DECAY);
  EXPECT_EQ(closing.reserved, 0);
  EXPECT_EQ(bench.out.compare_count, 2u);
  EXPECT_EQ(bench.out.bridge_valid, 0u);
  bench.plan();  // nothing has moved
  EXPECT_EQ(bench.out.compare_count, 0u);
}

// From 30 us before its match until 2 ms behind it a compare is left alone, whatever the plan says.
TEST(PlannerBounds, ACompareNearItsMatchIsLeftAlone) {
  for (const std::int32_t ahead_us : {-2001, -2000, 30, 31}) {
    const bool stands = ahead_us == -2000 || ahead_us == 30;
    const std::uint32_t at = later(kNow, ahead_us);
    Bench opening;
    opening.planner.opening = {true, at};
    opening.queue.push(Bench::opens_in(700));
    opening.plan();
    EXPECT_EQ(opening.arms(kOpenChannel, kNow + 700), !stands) << ahead_us;
    EXPECT_EQ(opening.out.compare_count, stands ? 0u : 2u) << ahead_us;
    EXPECT_EQ(opening.planner.opening.at_ticks, stands ? at : kNow + 700) << ahead_us;
    Bench closing;
    closing.open_for(Bench::opens_in(-19'000), kNow - 19'000);
    closing.planner.closing = {true, at};
    closing.plan();
    EXPECT_EQ(closing.arms(kCloseChannel, kNow + 1000), !stands) << ahead_us;
    EXPECT_EQ(closing.out.compare_count, stands ? 0u : 1u) << ahead_us;
  }
}

// Up to 5 ms late an opening fires at once, later the seed is skipped; both are counted and said.
TEST(PlannerBounds, FiveMillisecondsLateStillFires) {
  for (const std::int32_t late_us : {0, 4999, 5000, 5001}) {
    Bench bench;
    bench.queue.push(Bench::opens_in(-late_us, 7));
    bench.plan();
    const bool fires = late_us <= 5000;
    EXPECT_EQ(bench.bridge(SILLION_BRIDGE_DRIVE), fires) << late_us;
    EXPECT_EQ(bench.planner.pulse.open, fires) << late_us;
    EXPECT_EQ(bench.planner.openings, fires ? 1u : 0u);
    EXPECT_EQ(bench.health.late_compares, 1u);
    EXPECT_EQ(bench.health.skipped_seeds, fires ? 0u : 1u) << late_us;
    ASSERT_EQ(bench.out.event_count, 1u);
    EXPECT_EQ(bench.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_LATE_FIRING));
    EXPECT_EQ(bench.out.events[0].a, 7);
    EXPECT_EQ(bench.out.events[0].b, late_us);
    EXPECT_TRUE(bench.queue.empty());
  }
}

// An opening that was armed for later and is due now: its compare is taken back, or it would open
// the valve once more.
TEST(PlannerBounds, FiringAtOnceTakesTheCompareBack) {
  Bench bench;
  bench.planner.opening = {true, kNow + 900};
  bench.queue.push(Bench::opens_in(-100));
  bench.plan();
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_DRIVE));
  EXPECT_TRUE(bench.cancels(kOpenChannel));
  EXPECT_FALSE(bench.planner.opening.armed);
  EXPECT_TRUE(bench.arms(kCloseChannel, kNow + 19'900));
}

TEST(PlannerBounds, ClosingAtOnceTakesTheCompareBackAndPlansTheNext) {
  Bench bench;
  bench.open_for(Bench::opens_in(-20'100), kNow - 20'100);
  bench.planner.closing = {true, kNow + 900};
  bench.queue.push(Bench::opens_in(5000));
  bench.plan();
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_FAST_DECAY));
  EXPECT_FALSE(bench.planner.pulse.open);
  // The next seed is planned in the same call: the next one may be a tick away.
  EXPECT_TRUE(bench.arms(kOpenChannel, kNow + 5000));
  EXPECT_TRUE(bench.arms(kCloseChannel, kNow + 25'000));
}

// A late seed opens and closes in this call, and the next is planned: both compares are taken back
// and armed anew. One request per channel goes out, the last.
TEST(PlannerBounds, OnlyTheLastRequestOfAChannelGoesOut) {
  Bench bench;
  bench.law.band_um = 1000;
  bench.planner.opening = {true, kNow + 900};
  bench.planner.closing = {true, kNow + 1900};
  bench.queue.push(Bench::opens_in(-4000));
  bench.queue.push(Bench::opens_in(50'000));
  bench.plan();
  EXPECT_EQ(bench.planner.openings, 1u);
  EXPECT_EQ(bench.out.compare_count, 2u);
  EXPECT_TRUE(bench.arms(kOpenChannel, kNow + 50'000));
  EXPECT_TRUE(bench.arms(kCloseChannel, kNow + 51'000));
}

TEST(PlannerBounds, WithoutSeedsNothingIsAsked) {
  Bench bench;
  bench.plan();
  EXPECT_EQ(bench.out.compare_count, 0u);
  EXPECT_EQ(bench.out.bridge_valid, 0u);
}

TEST(PlannerBounds, AnEmptyQueueCancelsBoth) {
  Bench bench;
  bench.planner.opening = {true, kNow + 900};
  bench.planner.closing = {true, kNow + 1900};
  bench.plan();
  EXPECT_TRUE(bench.cancels(kOpenChannel));
  EXPECT_TRUE(bench.cancels(kCloseChannel));
}

// The next seed joins where less than the shortest closed time, 5 ms, would lie between.
TEST(PlannerBounds, TheNextSeedJoinsBelowTheShortestClosedTime) {
  for (const std::int32_t gap_us : {4999, 5000}) {
    Bench bench;
    bench.open_for(Bench::opens_in(-10'000), kNow - 10'000);
    bench.queue.push(Bench::opens_in(10'000 + gap_us, 9));
    bench.plan();
    const bool joins = gap_us < 5000;
    EXPECT_EQ(bench.health.merged_seeds, joins ? 1u : 0u);
    EXPECT_TRUE(bench.arms(kCloseChannel, kNow + static_cast<std::uint32_t>(
                                                     joins ? 10'000 + gap_us + 20'000 : 10'000)));
    EXPECT_EQ(bench.queue.empty(), joins);
  }
}

// The pulse's lag by its own rest is its own until it ends, also where another seed joins: 600 us
// of longer lag close it 600 us earlier.
TEST(PlannerBounds, TheLagOfThePulsesRestMovesItsClosing) {
  for (const bool joins : {false, true}) {
    Bench bench;
    bench.open_for(Bench::opens_in(-10'000), kNow - 10'000);
    bench.planner.pulse.shift.lag_us = 600;
    if (joins) bench.queue.push(Bench::opens_in(12'000));
    bench.plan();
    EXPECT_TRUE(bench.arms(kCloseChannel, kNow + (joins ? 32'000u : 10'000u) - 600u)) << joins;
  }
}

// Opened in this very call, a pulse of no seed lasts its shortest time from now on.
TEST(PlannerBounds, ThePulseLastsTheShortestTimeFromItsOpening) {
  for (const std::int32_t on_us : {0, 1, 3999, 4000}) {
    Bench bench;
    bench.law.shortest_on_us = 4000;
    bench.planner.pulse.open = true;
    bench.planner.pulse.opened_ticks = bench.planner.pulse.counted_ticks = later(kNow, -on_us);
    bench.plan();
    EXPECT_EQ(bench.planner.pulse.open, on_us < 4000) << on_us;
    EXPECT_EQ(bench.arms(kCloseChannel, later(kNow, 4000 - on_us)), on_us < 4000) << on_us;
    EXPECT_EQ(bench.bridge(SILLION_BRIDGE_FAST_DECAY), on_us == 4000) << on_us;
  }
}

TEST(PlannerBounds, AStreamTakesBothComparesBack) {
  Bench bench;
  bench.planner.opening = {true, kNow + 900};
  bench.planner.closing = {true, kNow + 1900};
  bench.queue.push(Bench::opens_in(900));
  bench.plan(true);
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_DRIVE));
  EXPECT_TRUE(bench.cancels(kOpenChannel));
  EXPECT_TRUE(bench.cancels(kCloseChannel));
  EXPECT_FALSE(bench.planner.opening.armed);
  EXPECT_FALSE(bench.planner.closing.armed);
}

// The stream serves a seed when its opening is due, and the lost one's place is passed with its
// closing.
TEST(PlannerBounds, TheStreamServesWhatIsDue) {
  for (const std::int32_t open_us : {0, 1}) {
    Bench bench;
    bench.queue.push(Bench::opens_in(open_us));
    bench.plan(true);
    EXPECT_EQ(bench.queue.empty(), open_us == 0);
    EXPECT_EQ(bench.planner.pulse.has_last, open_us == 0);
  }
  for (const std::int32_t close_us : {0, 1}) {
    Bench bench;
    bench.open_for(Bench::opens_in(-30'000), kNow - 40'000);
    stream_for_lost_seed(bench.planner, Bench::opens_in(close_us - 20'000));
    bench.plan();
    EXPECT_EQ(bench.planner.lost_ahead, close_us == 1);
    EXPECT_EQ(bench.planner.streaming, close_us == 1);
  }
}

// An opening that was past when it was asked for did not fire: it is no longer armed, no seed is
// taken, and planning finds it late.
TEST(PlannerBounds, APastOpeningIsPlannedAnew) {
  Bench bench;
  bench.queue.push(Bench::opens_in(-100));
  bench.planner.opening = {true, kNow - 100};
  bench.match(kOpenChannel, SILLION_COMPARE_PAST);
  EXPECT_FALSE(bench.planner.opening.armed);
  EXPECT_FALSE(bench.planner.pulse.open);
  EXPECT_EQ(bench.queue.size(), 1u);
  bench.plan();
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_DRIVE));
}

// A closing that was past did not fire: the program closes.
TEST(PlannerBounds, APastClosingClosesAtOnce) {
  Bench bench;
  bench.open_for(Bench::opens_in(-20'000), kNow - 20'000);
  bench.planner.closing = {true, kNow - 50};
  bench.match(kCloseChannel, SILLION_COMPARE_PAST);
  EXPECT_TRUE(bench.bridge(SILLION_BRIDGE_FAST_DECAY));
  EXPECT_FALSE(bench.planner.pulse.open);
  EXPECT_FALSE(bench.planner.closing.armed);
  EXPECT_EQ(bench.planner.closed_ticks, kNow);
}

// A match at its instant is one; before its instant it is none. It opens once and is then over.
TEST(PlannerBounds, AMatchComesAtItsInstant) {
  for (const std::int32_t ahead_us : {0, 1}) {
    Bench bench;
    bench.queue.push(Bench::opens_in(0));
    bench.planner.opening = {true, later(kNow, ahead_us)};
    bench.match(kOpenChannel, SILLION_COMPARE_MATCHED);
    EXPECT_EQ(bench.planner.pulse.open, ahead_us == 0);
    EXPECT_EQ(bench.planner.opening.armed, ahead_us == 1);
    EXPECT_EQ(bench.planner.openings, ahead_us == 0 ? 1u : 0u);
    EXPECT_EQ(bench.queue.empty(), ahead_us == 0);
    EXPECT_EQ(bench.out.bridge_valid, 0u);  // the pin has acted
  }
}

// A band time: 20 ms open, of which lead and its shift, 4 + 0.5 ms, bring nothing, and lag and its
// shift, 3 + 0.2 ms, go on.
TEST(PlannerBounds, ABandLastsFromLeadToLag) {
  Bench bench;
  bench.law.lead_us = 4000;
  bench.law.lag_us = 3000;
  bench.open_for(Bench::opens_in(-20'000), kNow - 20'000);
  bench.planner.pulse.shift = {.lead_us = 500, .lag_us = 200};
  bench.planner.closing = {true, kNow};
  bench.match(kCloseChannel, SILLION_COMPARE_MATCHED);
  EXPECT_EQ(bench.planner.band_time_us, 20'000 - 4500 + 3200);
  EXPECT_EQ(bench.planner.closed_ticks, kNow);
  EXPECT_TRUE(bench.planner.has_closed);
}

}  // namespace
