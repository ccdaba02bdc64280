// A recording of a pass's own pins is judged as the pass itself.
#include "sim/study/score/score.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "sim/scenario/loader.h"
#include "sim/study/score/stimulus.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

// Every seed raises one edge at its own instant: what the sensor hides, a recording cannot tell.
sim::scenario::Scenario seen(const std::string& file, std::vector<std::string> sets) {
  for (const char* set : {"duration=6 s", "row.count=2", "sensor.missed=0 %", "sensor.doubled=0 %",
                          "sensor.jitter=0 ms", "seeding.doubles=0 %", "controller.row_trim=false"})
    sets.push_back(set);
  return sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/" + file, sets);
}

sim::score::Capture recorded(const sim::score::Pins& pins) {
  const support::ScratchFolder folder;
  const std::string path = (std::filesystem::path(folder.path()) / "pins.vcd").string();
  std::ofstream(path) << sim::score::pins_vcd(pins);
  return sim::score::read_capture(path, {});
}

/// Largest difference of a seed's placement error between the pass and its recording.
double worst_m(const sim::scenario::Scenario& scenario) {
  const auto run = sim::run::run_scenario(scenario);
  const auto score =
      sim::score::score_of(scenario, recorded(sim::score::stimulus_of(scenario, {.drives = true})));
  EXPECT_DOUBLE_EQ(score.later_s, 0.0);
  double worst = 0.0;
  for (std::size_t row = 0; row < run.record.rows.size(); ++row) {
    const auto& here = run.record.rows[row].seeds;
    const auto& there = score.result.record.rows[row].seeds;
    EXPECT_EQ(here.size(), there.size());
    for (std::size_t k = 0; k < std::min(here.size(), there.size()); ++k) {
      EXPECT_EQ(here[k].band, there[k].band);
      const double apart_m = here[k].placement_error_m - there[k].placement_error_m;
      if (!std::isnan(apart_m)) worst = std::max(worst, std::abs(apart_m));
    }
  }
  return worst;
}

TEST(Score, ARecordingOfAPassIsJudgedAsThePass) {
  for (const auto& [file, sets] : std::vector<std::pair<std::string, std::vector<std::string>>>{
           {"pull_request_flow.toml", {}},
           {"pull_request_row.toml", {}},
           {"demo.toml", {"seeding.spacing=100 mm"}},
           {"demo_ramp.toml", {}}}) {
    const double worst = worst_m(seen(file, sets));
    std::printf("%s: at most %.5f mm apart\n", file.c_str(), worst * 1e3);
    EXPECT_LT(worst, 0.05e-3) << file;
  }
}

TEST(Score, AShiftOfTheDriveIsSeenInFull) {
  const sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {});
  const sim::score::Pins pins = sim::score::stimulus_of(scenario, {.drives = true});
  sim::score::Capture late = recorded(pins);
  for (auto& row : late.rows)
    for (auto& drive : row.drives) {
      drive.on_s += 2e-3;
      drive.off_s += 2e-3;
    }
  const auto plain = sim::score::score_of(scenario, recorded(pins));
  const auto shifted = sim::score::score_of(scenario, std::move(late));
  // A band moves with the machine: 2 ms at the scenario's speed.
  EXPECT_NEAR(shifted.result.summary.all.placement_error.mean_m -
                  plain.result.summary.all.placement_error.mean_m,
              2e-3 * scenario.travel.speed_mps, 0.3e-3);
}

TEST(Score, APulseThatIsMissingLeavesItsSeedWithoutABand) {
  const sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {});
  sim::score::Capture capture = recorded(sim::score::stimulus_of(scenario, {.drives = true}));
  auto& drives = capture.rows[0].drives;
  ASSERT_GT(drives.size(), 20u);
  drives.erase(drives.begin() + 10);
  const auto score = sim::score::score_of(scenario, std::move(capture));
  EXPECT_EQ(score.result.summary.all.seeds.no_band, 1);
}

TEST(Score, AnEmptyRecordingIsAMistake) {
  const sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {});
  sim::score::Capture none;
  none.rows.resize(1);
  none.lasts_s = 2.5;
  none.doubts = {"row0.sensor never rises"};
  const auto told = [&](const sim::score::ScoreOptions& options) -> std::string {
    try {
      sim::score::score_of(scenario, none, options);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_EQ(told({.recording = "pins.vcd"}),
            "pins.vcd: no seed sensor rises in 2.5 s; row0.sensor never rises");
  EXPECT_EQ(told({.recording = "pins.vcd", .start_s = 3.0}),
            "pins.vcd: no seed sensor rises from --start 3 s on; the recording lasts 2.5 s; "
            "row0.sensor never rises");
}

TEST(Score, WhatPinsDoNotShowIsNotJudged) {
  sim::scenario::Scenario scenario = seen("pull_request_flow.toml", {});
  scenario.requirements = {{.metric = "late_compares"}, {.metric = "no_band"}};
  const auto score =
      sim::score::score_of(scenario, recorded(sim::score::stimulus_of(scenario, {.drives = true})));
  EXPECT_EQ(score.unjudged, std::vector<std::string>{"late_compares"});
  EXPECT_EQ(score.result.summary.requirements.size(), 1u);
}

}  // namespace
