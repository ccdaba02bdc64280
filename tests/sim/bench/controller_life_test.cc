#include "sim/bench/controller_life.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "sim/bench/pass.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

sim::bench::PassRecord pass(const std::string& faults, const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets = {"row.physics=ideal", "duration=\"6 s\"",
                                   "fault=[" + faults + "]"};
  sets.insert(sets.end(), more.begin(), more.end());
  const sim::scenario::Scenario scenario = sim_test::quiet_demo(sets);
  return sim::bench::run_pass(scenario, sim::tune::tune(scenario).table, {});
}

std::string restart(const std::string& cause, const std::string& retained) {
  return "{kind = \"restarted_row\", from = \"3 s\", by = \"200 ms\", row = 0, cause = \"" + cause +
         "\", retained = \"" + retained + "\"}";
}

int bands(const sim::measure::RowRecord& row, double from_s, double until_s) {
  return static_cast<int>(std::count_if(row.bands.begin(), row.bands.end(), [&](const auto& band) {
    return band.open_s >= from_s && band.open_s < until_s;
  }));
}

int edges(const sim::measure::RowRecord& row, double from_s, double until_s) {
  return static_cast<int>(std::count_if(row.seeds.begin(), row.seeds.end(), [&](const auto& seed) {
    return seed.edge_s >= from_s && seed.edge_s < until_s;
  }));
}

TEST(ControllerLife, ARowThatRestartsIsSilentWhileItIsOffAndWorksAfterwards) {
  const sim::bench::PassRecord record = pass(restart("request", "kept"));
  const sim::measure::RowRecord& row = record.rows[0];
  EXPECT_EQ(bands(row, 3.0, 3.2), 0);
  EXPECT_GT(bands(row, 2.0, 3.0), 25);
  EXPECT_GT(bands(row, 3.5, 4.5), 25);
  // A pulse that was under way ends with the restart: the pins fall back.
  for (const sim::measure::BandRecord& band : row.bands)
    if (band.open_s < 3.0) {
      EXPECT_LT(band.close_s, 3.0005);
    }
  EXPECT_EQ(record.rows[1].health.resets, 0u);
  EXPECT_GT(bands(record.rows[1], 3.0, 3.2), 4);
}

// The edges of the 200 ms that it was off are lost. Counters go on where the memory was kept, begin
// anew where it was lost or its check sum failed, and a power-up counts no reset.
TEST(ControllerLife, RetainedMemoryIsKeptLostOrDamaged) {
  const sim::measure::RowRecord kept = pass(restart("watchdog", "kept")).rows[0];
  const int heard = edges(kept, 0.0, 3.0) + edges(kept, 3.2, 10.0);
  const int after = edges(kept, 3.2, 10.0);
  EXPECT_EQ(kept.health.resets, 1u);
  EXPECT_NEAR(kept.health.edges_accepted, heard, 1);
  for (const char* left : {"lost", "damaged"}) {
    const sim::measure::RowRecord row = pass(restart("watchdog", left)).rows[0];
    EXPECT_EQ(row.health.resets, 1u) << left;
    EXPECT_NEAR(row.health.edges_accepted, after, 1) << left;
  }
  const sim::measure::RowRecord power = pass(restart("power", "kept")).rows[0];
  EXPECT_EQ(power.health.resets, 0u);
  EXPECT_NEAR(power.health.edges_accepted, after, 1);
}

// Kicks come each millisecond. From 3 s on none is seen: at 3.1 s the row is reset, is off for 10
// ms and starts; then the watchdog waits for the first kick that it sees.
TEST(ControllerLife, AWatchdogThatSeesNoKicksResets) {
  const std::string hidden =
      "{kind = \"missed_kick\", from = \"3 s\", until = \"3.05 s\", row = 0}";
  EXPECT_EQ(pass(hidden).rows[0].health.resets, 0u);
  const std::string longer = "{kind = \"missed_kick\", from = \"3 s\", until = \"3.5 s\", row = 0}";
  const std::vector<std::string> judged = {
      "require=[{never = \"open\", while = \"controller off\", grace = \"5 ms\"}]"};
  const sim::bench::PassRecord record = pass(longer, judged);
  EXPECT_EQ(record.rows[0].health.resets, 1u);
  EXPECT_EQ(record.rows[1].health.resets, 0u);
  const auto& off = record.rows[0].signals.of(sim::scenario::OnOff::kOff);
  ASSERT_EQ(off.size(), 1u);
  EXPECT_NEAR(off[0].from_s, 3.1, 2e-3);
  EXPECT_NEAR(off[0].to_s, off[0].from_s + 10e-3, 1e-6);
  EXPECT_EQ(pass(longer, {"controller.watchdog=\"0 ms\""}).rows[0].health.resets, 0u);
}

// Rows get no speed for the second that the machine's controller is off: they close after 300 ms.
TEST(ControllerLife, RowsCloseWhileTheMachineIsOffAndGoOnWhenItIsBack) {
  const sim::bench::PassRecord record = pass(
      "{kind = \"restarted_machine\", from = \"3 s\", by = \"1 s\", cause = \"power\","
      " retained = \"lost\"}");
  for (const sim::measure::RowRecord& row : record.rows) {
    EXPECT_EQ(bands(row, 3.5, 4.0), 0);
    EXPECT_GT(bands(row, 4.8, 5.8), 25);
    EXPECT_GT(row.health.stale_speed_ms, 500u);
    EXPECT_EQ(row.health.resets, 0u);
  }
}

TEST(ControllerLife, AMachineThatMissesItsKicksIsResetToo) {
  const sim::bench::PassRecord record =
      pass("{kind = \"missed_machine_kick\", from = \"3 s\", until = \"3.5 s\"}");
  for (const sim::measure::RowRecord& row : record.rows) {
    EXPECT_EQ(row.health.resets, 0u);
    EXPECT_GT(bands(row, 4.5, 5.5), 25);
  }
}

}  // namespace
