// The planner in states that a drive reaches rarely or never: a stream over an open pulse, one of
// 36 minutes, one that nobody needs any more, and reports of matches that fit no state.
#include <gtest/gtest.h>

#include "controller/pulse_planner.h"
#include "controller/ticks.h"
#include "tests/controller/fake_hardware.h"

namespace planner_states {

namespace {

using namespace controller;

constexpr std::uint32_t kNow = 1'000'000;

/// A row at 4 m/s: D = 20 ms + 0.2 m/v = 70 ms, lead 4 ms, lag 3 ms, on for at least 4 ms.
struct Bench {
  DelayLaw law{.delivery_us = 24'000,
               .path_um = 200'000,
               .band_um = 75'000,
               .lead_us = 4000,
               .lag_us = 3000,
               .shortest_on_us = 4000};
  RowMotion motion{.known = true, .measured_ticks = kNow, .speed_umps = 4'000'000};
  Odometer odometer{.place_pm = 0, .at_ticks = kNow};
  sillion_correction rest{};
  PulsePlanner planner;
  SeedQueue queue;
  sillion_output out{};
  sillion_health health{};

  Present present() const { return {law, odometer, motion, 5000, 2000, rest}; }
  void plan(bool continuous, std::uint32_t now = kNow) {
    out = {};
    motion.measured_ticks = odometer.at_ticks = now;
    Report report{out, health, now};
    plan_pulses(planner, queue, continuous, present(), report);
  }
  void match(CompareChannel channel) {
    out = {};
    sillion_input in{};
    in.compare[channel] = SILLION_COMPARE_MATCHED;
    Report report{out, health, kNow};
    take_matches(planner, queue, in, present(), report);
  }
  void open_since(std::uint32_t at_ticks) {
    planner.pulse.open = true;
    planner.pulse.opened_ticks = planner.pulse.counted_ticks = at_ticks;
    planner.openings = 1;
  }
  bool closes_at(std::uint32_t at_ticks) const {
    for (std::uint32_t k = 0; k < out.compare_count; ++k)
      if (out.compares[k].channel == kCloseChannel)
        return out.compares[k].armed != 0 && out.compares[k].at_ticks == at_ticks;
    return false;
  }
};

TEST(PlannerStates, AStreamOverAnOpenPulseIsNoNewOpening) {
  Bench bench;
  bench.open_since(kNow - 2000);
  bench.plan(true);
  EXPECT_TRUE(bench.planner.streaming);
  EXPECT_EQ(bench.planner.openings, 1u);
  EXPECT_EQ(bench.planner.pulse.opened_ticks, kNow - 2000);
  EXPECT_EQ(bench.out.bridge.state, SILLION_BRIDGE_DRIVE);
}

// A stream that no seed was in, ended 1 ms after it began: the valve stays open for its shortest
// time, 4 ms in all.
TEST(PlannerStates, AStreamOfNoSeedLastsTheShortestTime) {
  Bench bench;
  bench.plan(true);
  EXPECT_EQ(bench.planner.openings, 1u);
  bench.plan(false, kNow + 1000);
  EXPECT_FALSE(bench.planner.streaming);
  EXPECT_TRUE(bench.closes_at(kNow + 4000));
}

// Open for more than half the counter (2^31 us, 35.8 min) the time reads as negative: it is longer
// than any shortest time, so the valve closes at once.
TEST(PlannerStates, AStreamLongerThanHalfTheCounterClosesAtOnce) {
  Bench bench;
  bench.open_since(kNow - 0x9000'0000u);
  bench.planner.streaming = true;
  bench.plan(false);
  EXPECT_FALSE(bench.planner.pulse.open);
  EXPECT_EQ(bench.out.bridge.state, SILLION_BRIDGE_FAST_DECAY);
}

// The seed that found no room is passed, but the queue has filled again: the stream goes on until
// 48 or fewer wait.
TEST(PlannerStates, AFullQueueKeepsTheStream) {
  Bench bench;
  bench.open_since(kNow - 2000);
  bench.planner.streaming = true;
  for (std::uint32_t k = 0; k < 49; ++k) {
    Seed seed;
    seed.edge_ticks = kNow + 1000 * k;
    ASSERT_TRUE(bench.queue.push(seed));
  }
  bench.plan(false);
  EXPECT_TRUE(bench.planner.streaming);
  bench.queue.pop();
  bench.plan(false);
  EXPECT_FALSE(bench.planner.streaming);
}

// The report of an opening that no seed waits for, or while the valve is open already, opens
// nothing and takes no seed.
TEST(PlannerStates, AMatchThatFitsNoStateOpensNothing) {
  Bench empty;
  empty.planner.opening = {true, kNow};
  empty.match(kOpenChannel);
  EXPECT_FALSE(empty.planner.pulse.open);
  EXPECT_EQ(empty.planner.openings, 0u);
  Bench open;
  open.open_since(kNow - 2000);
  open.queue.push({});
  open.planner.opening = {true, kNow};
  open.match(kOpenChannel);
  EXPECT_EQ(open.planner.openings, 1u);
  EXPECT_EQ(open.queue.size(), 1u);
}

TEST(PlannerStates, AClosingInAStreamEndsNoPulse) {
  for (const bool streaming : {false, true}) {
    Bench bench;
    bench.open_since(kNow - 20'000);
    bench.planner.streaming = streaming;
    bench.planner.closing = {true, kNow};
    bench.match(kCloseChannel);
    EXPECT_EQ(bench.planner.pulse.open, streaming);
    EXPECT_EQ(bench.out.bridge_valid, 0u);
  }
}

}  // namespace

}  // namespace planner_states
