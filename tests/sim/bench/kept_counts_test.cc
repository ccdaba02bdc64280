// What the machine and its rows keep through a power loss, against the bench's own count.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "controller/totals_store.h"
#include "controller/valve_cycles.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::Scenario;

struct Kept {
  PassRecord record;
  controller::RowTotals totals;
};

Kept pass_with(const std::vector<std::string>& more) {
  std::vector<std::string> sets = {"row.physics=ideal", "row.count=4", "seeds=200"};
  sets.insert(sets.end(), more.begin(), more.end());
  const Scenario scenario = sim_test::quiet_demo(sets);
  std::vector<std::uint8_t> storage;
  Kept kept;
  kept.record = sim::bench::run_pass(scenario, sim::tune::tune_once(scenario).table, {},
                                     {.machine_storage = &storage});
  kept.totals = controller::totals_on(storage.data(), storage.size());
  return kept;
}

/// Bands of a row that were opened in the last `last_s` of its work.
std::uint32_t bands_within(const PassRecord& record, std::size_t row, double last_s) {
  const auto& bands = record.rows[row].bands;
  return static_cast<std::uint32_t>(std::ranges::count_if(
      bands, [&](const auto& band) { return band.open_s > bands.back().open_s - last_s; }));
}

/// Holds the kept totals against the bench: what the machine may lack is younger than 1 s.
void expect_kept(const Kept& kept, const std::string& why) {
  ASSERT_EQ(kept.record.rows.size(), 4u);
  for (std::size_t row = 0; row < 4; ++row) {
    const auto bands = static_cast<std::uint32_t>(kept.record.rows[row].bands.size());
    ASSERT_GT(bands, 60u) << why;
    EXPECT_LE(kept.totals.rows[row].bands, bands) << why << ", row " << row;
    EXPECT_GE(kept.totals.rows[row].bands + bands_within(kept.record, row, 1.0), bands)
        << why << ", row " << row;
    EXPECT_GE(kept.totals.rows[row].seeds, kept.totals.rows[row].bands);
  }
  for (std::size_t row = 4; row < kept.totals.rows.size(); ++row)
    EXPECT_EQ(kept.totals.rows[row].bands, 0u);
}

TEST(KeptCounts, TheMachineCountsWhatTheBenchCounts) {
  const Kept kept = pass_with({});
  expect_kept(kept, "plain");
  for (std::size_t row = 0; row < 4; ++row) {
    double applied_ml = 0.0;
    for (const auto& band : kept.record.rows[row].bands) applied_ml += band.dose_m3 * 1e6;
    const double share_ratio = static_cast<double>(kept.totals.rows[row].bands) /
                               static_cast<double>(kept.record.rows[row].bands.size());
    EXPECT_NEAR(kept.totals.rows[row].volume_ml, share_ratio * applied_ml, 0.05 * applied_ml);
  }
}

// The machine is off for a while in mid-field: its rows go on until the speed is stale and again
// when it is back, and their counters bridge the gap.
TEST(KeptCounts, APowerLossOfTheMachineLosesNoBand) {
  for (const std::string from : {"2 s", "3.1 s", "3.35 s", "4.2 s"})
    for (const std::string by : {"20 ms", "300 ms", "1 s"}) {
      const Kept kept = pass_with({"fault=[{kind=\"restarted_machine\", from=\"" + from +
                                   "\", by=\"" + by + "\", cause=\"power\", retained=\"lost\"}]"});
      EXPECT_TRUE(kept.record.idle_faults.empty());
      expect_kept(kept, from + " for " + by);
    }
}

TEST(KeptCounts, ADipOfTheMachinesSupplyLosesNoBand) {
  expect_kept(pass_with({"fault=[{kind=\"dipped_machine\", from=\"3 s\", by=\"300 ms\","
                         " amount=\"60 %\", retained=\"lost\"}]"}),
              "dip");
}

// A row that restarts counts from 0; between its last report and the power loss lie 210 ms, or 7
// bands at 16 km/h and 150 mm.
TEST(KeptCounts, ARowThatStartsAnewIsNoticed) {
  const Kept kept =
      pass_with({"fault=[{kind=\"restarted_row\", row=1, from=\"3 s\", by=\"100 ms\","
                 " cause=\"power\", retained=\"lost\"}]"});
  for (std::size_t row = 0; row < 4; ++row) {
    const auto bands = static_cast<std::uint32_t>(kept.record.rows[row].bands.size());
    EXPECT_LE(kept.totals.rows[row].bands, bands) << row;
    EXPECT_GE(
        kept.totals.rows[row].bands + bands_within(kept.record, row, 1.0) + (row == 1 ? 7 : 0),
        bands)
        << row;
  }
}

// With damaged frames the totals are off by what the last report was off at most.
TEST(KeptCounts, DamagedFramesDoNotRunTheTotalsAway) {
  const Kept kept = pass_with({"fault=[{kind=\"corrupted_frames\", amount=\"20 %\"}]"});
  for (std::size_t row = 0; row < 4; ++row)
    EXPECT_NEAR(kept.totals.rows[row].bands,
                static_cast<double>(kept.record.rows[row].bands.size()), 2000.0)
        << row;
}

// A row restarts in mid-field: it says how often its valve had opened, no more than 256 openings
// short of what the bench saw until then.
TEST(KeptCounts, ARowKnowsItsValvesOpeningsAfterAPowerLoss) {
  const Scenario scenario = sim_test::quiet_demo(
      {"row.physics=ideal", "row.count=1", "seeds=900",
       "fault=[{kind=\"restarted_row\", row=0, from=\"20 s\", by=\"100 ms\", cause=\"power\","
       " retained=\"lost\"}]"});
  const PassRecord record =
      sim::bench::run_pass(scenario, sim::tune::tune_once(scenario).table, {});
  const auto before = std::ranges::count_if(record.rows[0].bands,
                                            [](const auto& band) { return band.open_s < 20.0; });
  const auto& events = record.rows[0].events;
  const auto said = std::ranges::find_if(events, [](const auto& event) {
    return event.code == std::uint32_t{SILLION_EVENT_CYCLES_KEPT};
  });
  ASSERT_NE(said, events.end());
  EXPECT_GT(said->at_s, 20.1);
  EXPECT_LE(said->a, before);
  EXPECT_GE(said->a + static_cast<int>(controller::kMostLostOpenings), before);
  EXPECT_GE(said->a, 240);
}

}  // namespace
