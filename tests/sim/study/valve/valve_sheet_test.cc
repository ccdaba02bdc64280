// The sheet and the files beside it.
#include "sim/study/valve/valve_sheet.h"

#include <gtest/gtest.h>
#include <tbb/global_control.h>

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "sim/scenario/loader.h"
#include "tests/support/report_text.h"
#include "tests/support/scratch_folder.h"

namespace sim::valve {
namespace {

const ValveCheck& demo() {
  static const ValveCheck check = [] {
    const std::string folder = std::string(SILLION_SOURCE_DIR) + "/scenarios/";
    const rig::RigSetup setup = rig::load_rig_setup(folder + "demo_valve.toml");
    return check_model(setup, read_valve_limits(setup.bench.limits));
  }();
  return check;
}

TEST(ValveSheet, BeginsWithItsSentenceAndAsksNothingOfAnyHost) {
  const std::string page = valve_sheet_html(demo(), output::Units::kMetric);
  EXPECT_NE(page.find("<h1>In order: opening"), std::string::npos);
  EXPECT_EQ(support::count_of(page, "<script"), 1);
  for (const char* word : {"<script", "http://", "https://", "src="})
    EXPECT_EQ(support::without_script(page).find(word), std::string::npos) << word;
  EXPECT_NE(page.find("face shield"), std::string::npos) << "cautions of the bench";
  EXPECT_NE(page.find("Bleed them"), std::string::npos);
  EXPECT_NE(page.find("examples of this project"), std::string::npos) << "whose limits";
}

TEST(ValveSheet, JsonIsReadBackWithTheSameFigures) {
  const auto json = nlohmann::json::parse(valve_json(demo()));
  EXPECT_EQ(json["schema"], "sillion.valve.1");
  EXPECT_EQ(json["verdict"], "in order");
  EXPECT_DOUBLE_EQ(json["programme"]["nominal"]["at_stop_s"], demo().programme.nominal.at_stop_s);
  EXPECT_TRUE(json["trace"].is_null());
  EXPECT_EQ(json["limits"].size(), demo().limits.limits.size());
}

TEST(ValveSheet, UnitsOfTheOtherSideOfTheOcean) {
  std::string text;
  for (const auto& line : figure_lines(demo(), output::Units::kUs))
    for (const std::string& word : line) text += word + "\n";
  EXPECT_NE(text.find("fl oz/min"), std::string::npos);
  EXPECT_NE(text.find("gal"), std::string::npos);
  EXPECT_EQ(text.find("ml/min"), std::string::npos);
}

// 1 l/min is 33.814 US fl oz/min (1 fl oz = 29.5735295625 ml exactly).
TEST(ValveSheet, SmallFlowsInFluidOunces) {
  EXPECT_EQ(figure_words(ValveFigureKind::kLeak, 1e-3 / 60.0, output::Units::kUs),
            "33.81 fl oz/min");
  EXPECT_EQ(figure_words(ValveFigureKind::kLeak, 1e-3 / 60.0, output::Units::kMetric),
            "1000.0 ml/min");
  EXPECT_EQ(figure_words(ValveFigureKind::kLeak, std::nan(""), output::Units::kMetric), "not seen");
}

// 0.8 mm is 0.0315 in; 66.5 mm3 is 0.00225 fl oz, and at 30 Hz 119.7 ml/min.
TEST(ValveSheet, LengthsAndDosesHaveDigitsEnough) {
  EXPECT_EQ(valve_length_words(0.8e-3, output::Units::kUs), "0.0315 in");
  EXPECT_EQ(valve_length_words(0.8e-3, output::Units::kMetric), "0.800 mm");
  EXPECT_EQ(figure_words(ValveFigureKind::kSmallestDose, 66.5e-9, output::Units::kUs),
            "0.00225 fl oz");
  EXPECT_EQ(
      figure_words(ValveFigureKind::kSmallestDose, 66.5e-9, output::Units::kMetric, 1.0 / 30.0),
      "66.5 mm³ (119.7 ml/min at 30.0 Hz)");
}

TEST(ValveSheet, EveryTableIsInTheUnitsThatWereAskedFor) {
  const std::string page = valve_sheet_html(demo(), output::Units::kUs);
  for (const char* word : {" mm<", "mm³", "ml/min", " bar<", " bar;", "°C", "N/mm"})
    EXPECT_EQ(page.find(word), std::string::npos) << word;
  for (const char* word : {"fl oz", " psi", "°F", " in<", "lb/in"})
    EXPECT_NE(page.find(word), std::string::npos) << word;
}

TEST(ValveSheet, HasItsPiecesInTheirOrder) {
  const std::string page = valve_sheet_html(demo(), output::Units::kMetric);
  std::size_t at = 0;
  for (const char* piece : {"<h1>", "class=\"quality\"", "interval", "margin", "next step",
                            "id=\"pulse", "Cautions", "Limits: demo_valve_limits.toml"}) {
    const std::size_t next = page.find(piece, at);
    ASSERT_NE(next, std::string::npos) << piece << " is missing or stands too early";
    at = next;
  }
  EXPECT_NE(page.find("shortest closed time: command gap that seats"), std::string::npos);
}

// Nothing passes: no figure is infinite, and the reason stands in the figure's place.
TEST(ValveSheet, WhatCannotBeComputedIsNotTold) {
  ValveCheck check = demo();
  check.programme.repeat.dose_sd_ratio = std::nan("");
  check.programme.repeat.opening_sd_s = std::nan("");
  std::string text;
  for (const auto& line : figure_lines(check, output::Units::kMetric)) text += line[1] + "\n";
  EXPECT_NE(text.find("dose not known: the pulses pass no liquid"), std::string::npos) << text;
  EXPECT_EQ(text.find("inf"), std::string::npos) << text;
  EXPECT_EQ(text.find("nan"), std::string::npos) << text;
}

TEST(ValveSheet, PulsesOfATraceAsTable) {
  TraceFindings findings;
  TracePulse pulse;
  pulse.on_s = 0.5;
  pulse.at_stop_after_s = {.value = 0.002, .sd = 1e-5};
  pulse.faults = kPulseLate | kPulseBouncing;
  findings.pulses = {pulse};
  const std::string text = valve_pulses_csv(findings);
  std::istringstream lines(text);
  std::string head, line;
  std::getline(lines, head);
  std::getline(lines, line);
  EXPECT_EQ(std::count(head.begin(), head.end(), ','), std::count(line.begin(), line.end(), ','));
  EXPECT_NE(line.find("0.002,1e-05"), std::string::npos) << line;
  EXPECT_TRUE(line.ends_with("late bouncing")) << line;
}

TEST(ValveSheet, SameBytesOnOneAndTwoThreads) {
  const rig::RigSetup setup =
      rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml",
                          {"programme.repetitions=[\"20 Hz\", \"60 Hz\"]", "programme.pulses=10"});
  const auto text = [&](std::size_t threads) {
    const tbb::global_control control(tbb::global_control::max_allowed_parallelism, threads);
    return valve_json(check_model(setup, {}));
  };
  EXPECT_EQ(text(1), text(2));
}

TEST(ValveSheet, WritesItsFolder) {
  const ScratchFolder folder;
  ValveCheck check = demo();
  write_valve(check, folder.path() / "sheet", output::Units::kMetric);
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "sheet/sheet.html"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "sheet/valve.json"));
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "sheet/pulses.csv")) << "no trace";
  EXPECT_EQ(check.hashes.result.size(), 16u);
}

}  // namespace
}  // namespace sim::valve
