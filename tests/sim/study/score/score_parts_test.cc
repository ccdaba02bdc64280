// A recording that is scored as it is read has the figures of the same recording held whole.
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/study/run/applied.h"
#include "sim/study/score/score.h"
#include "sim/study/score/stimulus.h"
#include "tests/support/run_program.h"

namespace {

sim::scenario::Scenario seen(const std::string& file, std::vector<std::string> sets) {
  for (const char* set : {"row.count=2", "sensor.missed=0 %", "sensor.doubled=0 %",
                          "sensor.jitter=0 ms", "seeding.doubles=0 %", "controller.row_trim=false"})
    sets.push_back(set);
  return sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/" + file, sets);
}

class ScoreParts : public testing::Test {
 protected:
  std::string written(const sim::scenario::Scenario& scenario) const {
    const std::string path = (folder_.path() / "pins.vcd").string();
    std::ofstream(path) << sim::score::pins_vcd(
        sim::score::stimulus_of(scenario, {.drives = true}));
    return path;
  }
  sim::score::Score scored(const sim::scenario::Scenario& scenario, const std::string& file,
                           long long held_seeds) const {
    const auto reader = sim::score::open_capture(file, {});
    return sim::score::score_of(scenario, *reader,
                                {.held_seeds = held_seeds, .folder = folder_.path()});
  }
  support::ScratchFolder folder_;
};

std::string text_of(const std::string& head, const std::vector<sim::output::SpilledText*>& rows) {
  std::string text = head;
  for (sim::output::SpilledText* row : rows)
    row->read([&](std::string_view piece) { text += piece; });
  return text;
}

void expect_same(const sim::measure::Figures& whole, const sim::measure::Figures& parts) {
  EXPECT_EQ(whole.seeds.placed, parts.seeds.placed);
  EXPECT_EQ(whole.seeds.banded, parts.seeds.banded);
  EXPECT_EQ(whole.seeds.no_band, parts.seeds.no_band);
  EXPECT_EQ(whole.seeds.merged, parts.seeds.merged);
  EXPECT_EQ(whole.stray_bands, parts.stray_bands);
  EXPECT_DOUBLE_EQ(whole.within[0].sensed_ratio, parts.within[0].sensed_ratio);
  EXPECT_DOUBLE_EQ(whole.placement_error.max_abs_m, parts.placement_error.max_abs_m);
  EXPECT_NEAR(whole.placement_error.mean_m, parts.placement_error.mean_m, 1e-9);
  EXPECT_NEAR(whole.dose_mean_m3, parts.dose_mean_m3, 1e-9 * whole.dose_mean_m3);
  EXPECT_NEAR(whole.gap_ratio, parts.gap_ratio, 1e-9);
  EXPECT_NEAR(whole.field_rate_m3pm2, parts.field_rate_m3pm2, 1e-9 * whole.field_rate_m3pm2);
}

TEST_F(ScoreParts, TablesAndFiguresAreThoseOfTheWhole) {
  const sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {"duration=26 s"});
  const std::string file = written(scenario);
  sim::score::Score whole = scored(scenario, file, 1'000'000);
  sim::score::Score parts = scored(scenario, file, 300);
  ASSERT_TRUE(whole.tables.empty());
  ASSERT_EQ(parts.tables.size(), 2u);
  EXPECT_EQ(whole.pulses, parts.pulses);
  EXPECT_DOUBLE_EQ(whole.lasts_s, parts.lasts_s);
  EXPECT_LT(parts.drawn_seeds, whole.result.summary.all.seeds.placed / 2);
  EXPECT_GT(parts.drawn_seeds, 200);
  expect_same(whole.result.summary.all, parts.result.summary.all);
  for (std::size_t row = 0; row < 2; ++row)
    expect_same(whole.result.summary.rows[row], parts.result.summary.rows[row]);
  const sim::run::LongTables tables = sim::score::long_tables(parts);
  EXPECT_TRUE(sim::run::seeds_csv(whole.result) == text_of(sim::run::seeds_header(), tables.seeds));
  EXPECT_TRUE(sim::run::applied_csv(whole.result) ==
              text_of(sim::run::applied_header(), tables.applied));
}

// The controller that was recorded dies after 8 s: its seeds have no band, and nothing waits for
// one.
TEST_F(ScoreParts, ADeadDriveIsJudgedToo) {
  const sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {"duration=26 s"});
  sim::score::Pins pins = sim::score::stimulus_of(scenario, {.drives = true});
  for (sim::score::Pin& pin : pins.pins)
    if (pin.name == "drive")
      while (pin.toggles_ns.size() % 2 != 0 || pin.toggles_ns.back() > 8'000'000'000)
        pin.toggles_ns.pop_back();
  const std::string file = (folder_.path() / "dead.vcd").string();
  std::ofstream(file) << sim::score::pins_vcd(pins);
  const sim::score::Score whole = scored(scenario, file, 1'000'000);
  const sim::score::Score parts = scored(scenario, file, 300);
  EXPECT_GT(whole.result.summary.all.seeds.no_band, 700);
  expect_same(whole.result.summary.all, parts.result.summary.all);
}

TEST_F(ScoreParts, TheBeginningMayBeLeftOut) {
  const sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {"duration=26 s"});
  const std::string file = written(scenario);
  const auto from = [&](long long held_seeds) {
    const auto reader = sim::score::open_capture(file, {});
    return sim::score::score_of(
        scenario, *reader, {.held_seeds = held_seeds, .folder = folder_.path(), .start_s = 12.0});
  };
  expect_same(from(1'000'000).result.summary.all, from(300).result.summary.all);
}

}  // namespace
