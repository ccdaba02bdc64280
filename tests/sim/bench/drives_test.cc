// What the interface offers and a scenario can drive reaches the controller: inputs, travel that
// stands and turns back, bad speed, bad edges and bad frames, each shown by the reference's
// counters and bands. Rows are ideal, so that a pass costs little; the controller is the whole one.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/bench/seed_way.h"
#include "sim/bench/travel_of.h"
#include "sim/bench/work_inputs.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

sim::scenario::Scenario scenario(const std::vector<std::string>& sets) {
  std::vector<std::string> all = {"row.physics=ideal", "duration=\"6 s\""};
  all.insert(all.end(), sets.begin(), sets.end());
  return sim_test::quiet_demo(all);
}

sim::bench::PassRecord pass(const std::vector<std::string>& sets) {
  const sim::scenario::Scenario one = scenario(sets);
  return sim::bench::run_pass(one, sim::tune::tune(one).table, {});
}

/// Bands that were opened between two instants.
int bands(const sim::measure::RowRecord& row, double from_s, double until_s) {
  return static_cast<int>(std::count_if(row.bands.begin(), row.bands.end(), [&](const auto& band) {
    return band.open_s >= from_s && band.open_s < until_s;
  }));
}

// At 16 km/h and 0.15 m there are 29.6 seeds a second.
TEST(Drives, HoldAndSectionControlCloseTheirRows) {
  const sim::bench::PassRecord held = pass({"work.run_times=[\"3 s\", \"4 s\"]"});
  for (const sim::measure::RowRecord& row : held.rows) {
    EXPECT_GT(bands(row, 2.0, 3.0), 25);
    EXPECT_EQ(bands(row, 3.005, 4.0), 0);
    EXPECT_GT(bands(row, 4.2, 5.2), 25);
    EXPECT_GT(row.health.safe_closed_ms, 990u);
    EXPECT_GT(row.health.skipped_seeds, 0u);  // those in flight when the hold came
  }
  const sim::bench::PassRecord off =
      pass({"work.row_off=[{rows = [1], from = \"3 s\", until = \"4 s\"}]"});
  EXPECT_EQ(bands(off.rows[1], 3.005, 4.0), 0);
  EXPECT_GT(bands(off.rows[0], 3.005, 4.0), 25);
  EXPECT_GT(off.rows[1].health.safe_closed_ms, off.rows[0].health.safe_closed_ms + 990u);
}

TEST(Drives, InputsAreSignalsThatRequirementsMayName) {
  const sim::bench::PassRecord record = pass(
      {"work.row_off=[{rows = [1], from = \"3 s\", until = \"4 s\"}]", "work.run_times=[\"5 s\"]",
       "require=[{never = \"open\", while = \"row off\", grace = \"20 ms\"},"
       " {never = \"open\", while = \"in hold\", grace = \"20 ms\"}]"});
  const auto& off = record.rows[1].signals.of(sim::scenario::OnOff::kRowOff);
  ASSERT_EQ(off.size(), 1u);
  EXPECT_DOUBLE_EQ(off[0].from_s, 3.0);
  EXPECT_DOUBLE_EQ(off[0].to_s, 4.0);
  EXPECT_TRUE(record.rows[0].signals.of(sim::scenario::OnOff::kRowOff).empty());
  const auto& hold = record.rows[0].signals.of(sim::scenario::OnOff::kHold);
  ASSERT_EQ(hold.size(), 1u);
  EXPECT_DOUBLE_EQ(hold[0].from_s, 5.0);
}

// 2 m/s to 4 s, then back at 1 m/s from 5 to 7 s with ramps of 1 s, then on at 2 m/s from 8 s. A
// meter that the ground drives stands from 4.67 s, where 2 - 3 t is 0, to 7.33 s.
constexpr const char* kShuttle =
    "travel.profile=[{time = \"0 s\", speed = \"2 m/s\"}, {time = \"4 s\", speed = \"2 m/s\"},"
    " {time = \"5 s\", speed = \"-1 m/s\"}, {time = \"7 s\", speed = \"-1 m/s\"},"
    " {time = \"8 s\", speed = \"2 m/s\"}]";

TEST(Drives, AMeterDropsNothingWhileItsRowStandsOrRunsBackwards) {
  const sim::scenario::Scenario shuttle = scenario({kShuttle, "duration=\"12 s\""});
  const model::Travel travel = sim::bench::travel_of(shuttle);
  const sim::bench::SeedWay way = sim::bench::lay_out_seeds(
      shuttle, travel, sim::bench::nominal_row(shuttle, 0), {.rng_key = 1}, 0);
  for (const sim::measure::SeedRecord& seed : way.seeds)
    EXPECT_FALSE(seed.edge_s > 4.0 + 2.0 / 3.0 && seed.edge_s < 7.0 + 1.0 / 3.0) << seed.edge_s;
  // Forward way from 1.5 to 12 s: 2.5 * 2 + 2/3 (the ramp down) + 2/3 (up) + 4 * 2 = 14.33 m, so
  // 95 steps of 0.15 m and the first seed.
  EXPECT_EQ(way.seeds.size(), 96u);
  // A seed that the belt holds when the row turns is let go once the row has gone on by the rest of
  // the belt: never while it runs backwards.
  for (std::size_t k = 0; k < way.seeds.size(); ++k) {
    const double rest_s = way.seeds[k].edge_s + way.delivery_s[k];
    EXPECT_FALSE(rest_s > 4.7 && rest_s < 7.3) << rest_s;
  }
}

TEST(Drives, TheValveStaysShutBackwardsAndWorkGoesOnAfterwards) {
  const sim::bench::PassRecord record = pass({kShuttle, "duration=\"12 s\""});
  for (const sim::measure::RowRecord& row : record.rows) {
    EXPECT_GT(bands(row, 2.0, 4.0), 24);
    EXPECT_EQ(bands(row, 5.0, 7.3), 0);
    EXPECT_GT(bands(row, 9.0, 11.0), 24);
    EXPECT_GT(row.health.safe_closed_ms, 2000u);
  }
}

TEST(Drives, StopAndGoStopsAndGoes) {
  const sim::bench::PassRecord record = pass(
      {"travel.profile=[{time = \"0 s\", speed = \"3 m/s\"}, {time = \"3 s\", speed = \"3 m/s\"},"
       " {time = \"4 s\", speed = \"0 m/s\"}, {time = \"6 s\", speed = \"0 m/s\"},"
       " {time = \"7 s\", speed = \"3 m/s\"}]",
       "duration=\"10 s\""});
  for (const sim::measure::RowRecord& row : record.rows) {
    EXPECT_EQ(bands(row, 4.5, 6.0), 0);
    EXPECT_GT(bands(row, 8.0, 10.0), 35);
  }
}

// The speed timeout is 300 ms. With an error value in the speed, or a direction that is not known,
// the ground-based speed is missing; the course's speed replaces it after 1 s of silence.
TEST(Drives, ErrorValuesOnTheBusAreNoSpeed) {
  for (const char* kind :
       {"speed_error", "speed_not_available", "direction_error", "direction_not_available"}) {
    const std::string fault =
        std::string("{kind = \"") + kind + "\", from = \"3 s\", until = \"5 s\"}";
    const sim::bench::PassRecord alone = pass({"fault=[" + fault + "]"});
    const sim::measure::RowRecord& stands_in = alone.rows[0];
    EXPECT_EQ(bands(stands_in, 3.5, 3.95), 0) << kind;
    EXPECT_GT(bands(stands_in, 4.3, 5.0), 15) << kind;
    EXPECT_GT(stands_in.health.stale_speed_ms, 500u) << kind;
    const sim::bench::PassRecord both =
        pass({"fault=[" + fault + ", {kind = \"lost_course\", from = \"3 s\", until = \"5 s\"}]"});
    EXPECT_EQ(bands(both.rows[0], 3.5, 5.0), 0) << kind;
    EXPECT_GT(bands(both.rows[0], 5.5, 6.0), 10) << kind;
  }
}

// A gateway repeats 4.44 m/s while the machine brakes to 2.2 m/s. The controller cannot know, so
// its bands lie where they would at the old speed: they err while the fault is on and not before.
TEST(Drives, ARepeatedOldSpeedIsBelieved) {
  const std::string brakes =
      "travel.profile=[{time = \"0 s\", speed = \"16 km/h\"}, {time = \"3 s\", speed = \"16 "
      "km/h\"},"
      " {time = \"4 s\", speed = \"8 km/h\"}]";
  const std::string stale = "fault=[{kind = \"stale_speed\", from = \"3 s\"}]";
  const auto length_m = [](const sim::bench::PassRecord& record) {
    double sum_m = 0.0;
    int count = 0;
    for (const sim::measure::BandRecord& band : record.rows[0].bands)
      if (band.open_s > 5.0) sum_m += band.end_x_ground_m - band.start_x_ground_m, ++count;
    return sum_m / count;
  };
  // At half the speed the on times of the full speed give bands half as long.
  EXPECT_NEAR(length_m(pass({brakes, stale})) / length_m(pass({brakes})), 0.5, 0.05);
}

TEST(Drives, DoubledEdgesMeetTheDeadTimeOrBecomeSeeds) {
  const auto doubled = [](const char* by) {
    return pass({std::string("fault=[{kind = \"doubled_edges\", amount = \"100 %\", by = \"") + by +
                 "\"}]"})
        .rows[0];
  };
  const sim::measure::RowRecord plain = pass({}).rows[0];
  const auto seeds = static_cast<std::uint32_t>(plain.seeds.size());
  EXPECT_EQ(plain.health.edges_accepted, seeds);
  const sim::measure::RowRecord chatter = doubled("0.5 ms");
  EXPECT_EQ(chatter.health.edges_accepted, seeds);
  EXPECT_EQ(chatter.health.edges_rejected, plain.health.edges_rejected + seeds);
  const sim::measure::RowRecord second = doubled("12 ms");
  EXPECT_EQ(second.health.edges_accepted, 2 * seeds);
}

TEST(Drives, ABurstOverrunsTheCaptureFifo) {
  const sim::measure::RowRecord row =
      pass({"fault=[{kind = \"edge_bursts\", amount = \"100 %\"}]"}).rows[0];
  const auto seeds = static_cast<std::uint32_t>(row.seeds.size());
  EXPECT_EQ(row.health.capture_overflows, seeds);
  EXPECT_EQ(row.health.edges_accepted, seeds);
  EXPECT_GE(row.health.edges_rejected, 7 * seeds);
}

// Motion and set-point frames come every 100 ms, 20 a second: the counts are for 1 s at 100 %.
TEST(Drives, BadFramesAreCountedAndTheRowClosesWhenNothingGoodComes) {
  const auto faulty = [](const std::string& kind, const std::string& more = "") {
    return pass({"fault=[{kind = \"" + kind + "\", amount = \"100 %\"" + more +
                 ", from = \"3 s\", until = \"4 s\", row = 1}]"});
  };
  for (const char* kind : {"lost_frames", "short_frames"}) {
    const sim::bench::PassRecord record = faulty(kind);
    EXPECT_EQ(bands(record.rows[1], 3.7, 4.0), 0) << kind;
    EXPECT_GT(bands(record.rows[0], 3.7, 4.0), 6) << kind;
    EXPECT_GT(bands(record.rows[1], 4.3, 5.3), 25) << kind;
    EXPECT_EQ(record.rows[0].health.bad_frames, 0u) << kind;
  }
  EXPECT_GE(faulty("short_frames").rows[1].health.bad_frames, 18u);
  EXPECT_GE(faulty("repeated_frames").rows[1].health.bad_frames, 18u);
  // In each pair of one kind that changes places the older frame follows the newer: 5 and 5.
  EXPECT_GE(faulty("reordered_frames").rows[1].health.bad_frames, 8u);
  // 50 ms late: within the frame's validity and the speed's timeout, and nothing is out of order.
  EXPECT_GT(bands(faulty("late_frames", ", by = \"50 ms\"").rows[1], 3.3, 4.0), 15);
}

TEST(Drives, RestartsAreOfTheirRowInOrderOfTime) {
  const sim::scenario::Scenario one = scenario(
      {"fault=[{kind = \"restarted_row\", from = \"5 s\", by = \"20 ms\", cause = \"watchdog\","
       " retained = \"damaged\", row = 1}, {kind = \"restarted_row\", from = \"3 s\", by = \"0 "
       "ms\","
       " cause = \"power\", retained = \"lost\"}, {kind = \"restarted_machine\", from = \"4 s\","
       " by = \"1 s\", cause = \"request\", retained = \"kept\"},"
       " {kind = \"missed_kick\", from = \"2 s\", until = \"3 s\", row = 0}]"});
  const auto row_1 = sim::scenario::restarts_of(one, 1);
  ASSERT_EQ(row_1.size(), 2u);
  EXPECT_DOUBLE_EQ(row_1[0].at_s, 3.0);
  EXPECT_EQ(row_1[1].cause, 1);
  EXPECT_EQ(row_1[1].retained, 2);
  EXPECT_EQ(sim::scenario::restarts_of(one, 0).size(), 1u);
  const auto machine = sim::scenario::restarts_of(one, sim::scenario::kMachine);
  ASSERT_EQ(machine.size(), 1u);
  EXPECT_DOUBLE_EQ(machine[0].off_s, 1.0);
  EXPECT_EQ(machine[0].cause, 2);
  EXPECT_TRUE(sim::scenario::kick_hidden(one, 0, 2.5));
  EXPECT_FALSE(sim::scenario::kick_hidden(one, 1, 2.5));
  EXPECT_FALSE(sim::scenario::kick_hidden(one, sim::scenario::kMachine, 2.5));
}

}  // namespace
