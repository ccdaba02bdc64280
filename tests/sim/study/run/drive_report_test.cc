// The drive in a run's report: speed and course as they were driven, and what was passed over in a
// recorded log; the report, the terminal and summary.json say the same.
#include "sim/study/run/drive_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/scenario/recorded_drive.h"
#include "tests/support/run_program.h"

namespace {

using sim::output::Units;
using testing::HasSubstr;
using testing::Not;

const std::string kScenarios = SILLION_SOURCE_DIR "/scenarios/";

/// A pass that is laid out and not run: the drive is known from the scenario and the pass's
/// duration.
sim::run::RunResult driven(const sim::scenario::Scenario& scenario, double lasted_s) {
  sim::run::RunResult result;
  result.scenario = scenario;
  result.summary.simulated_s = lasted_s * scenario.row.count;
  return result;
}

/// Counts of the log made in another way: lines that end in CR LF or LF, by their sentence's name.
struct Counted {
  long long lines = 0;
  long long rmc = 0;
  long long neither = 0;
};
Counted counted_by_hand() {
  std::ifstream in(SILLION_SOURCE_DIR "/tests/data/recorded_drive.nmea", std::ios::binary);
  Counted counted;
  for (std::string line; std::getline(in, line);) {
    if (line.empty() || line == "\r") continue;
    ++counted.lines;
    if (line.find("RMC,") == 3)
      ++counted.rmc;
    else if (line.find("VTG,") != 3)
      ++counted.neither;
  }
  return counted;
}

// The shipped log has only good sentences, so each that is neither RMC nor VTG is passed over.
TEST(DriveReport, CountsWhatTheLogHolds) {
  const auto log = sim::scenario::drive_log_counts(kScenarios + "demo_recorded_drive.toml", {});
  ASSERT_TRUE(log.has_value());
  const Counted counted = counted_by_hand();
  EXPECT_EQ(log->lines, counted.lines);
  EXPECT_EQ(log->other + log->bad_checksum, counted.neither);
  EXPECT_EQ(log->fixes + log->void_fixes + log->out_of_order + log->incomplete, counted.rmc);
  EXPECT_FALSE(sim::scenario::drive_log_counts(kScenarios + "demo.toml", {}).has_value());
}

TEST(DriveReport, ALogLaidOverByTheCommandLineIsCounted) {
  EXPECT_TRUE(sim::scenario::drive_log_counts(kScenarios + "demo.toml",
                                              {"travel.log=../tests/data/recorded_drive.nmea"})
                  .has_value());
  EXPECT_THROW(sim::scenario::drive_log_counts(kScenarios + "demo.toml", {"travel.log=none.nmea"}),
               sim::text::InputError);
}

TEST(DriveReport, EveryReasonStandsInReportAndOnTheTerminal) {
  const sim::scenario::NmeaCounts log{.lines = 100,
                                      .fixes = 11,
                                      .other = 42,
                                      .bad_checksum = 5,
                                      .malformed = 6,
                                      .void_fixes = 7,
                                      .incomplete = 8,
                                      .out_of_order = 9,
                                      .gaps = 2,
                                      .gap_time_s = 31.0,
                                      .longest_gap_s = 27.0};
  const sim::run::RunResult result =
      driven(sim::scenario::load_scenario(kScenarios + "demo_recorded_drive.toml"), 146.0);
  const sim::run::ReportExtra extra = sim::run::drive_extra(result, log, Units::kMetric);
  const auto lines = sim::run::drive_lines(result, log, Units::kMetric);
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_THAT(lines[0],
              HasSubstr("11 fixes in the log, 2 gaps (31.0 s together, the longest 27.0 s)"));
  for (const std::string words : {"other sentences than RMC and VTG", "wrong or missing check sums",
                                  "lines that cannot be read", "void", "fixes without a speed",
                                  "fixes whose time does not rise"}) {
    EXPECT_THAT(extra.section, HasSubstr(words));
    EXPECT_THAT(lines[1], HasSubstr(words));
  }
  for (const std::string count :
       {"RMC and VTG: 42", "check sums: 5", "be read: 6", "void: 7", "speed: 8", "not rise: 9"})
    EXPECT_THAT(lines[1], HasSubstr(count));
  EXPECT_EQ(extra.summary_key, "drive");
  const auto fields = nlohmann::json::parse(extra.summary);
  EXPECT_EQ(fields["passed_over"]["other_sentences"], 42);
  EXPECT_EQ(fields["passed_over"]["void_fixes"], 7);
  EXPECT_EQ(fields["gaps"], 2);
}

// By hand: 4 km/h for 10 s, then up to 16 km/h within 20 s: (40 + 20 * 10) / 30 = 8 km/h in mean.
TEST(DriveReport, AProfileHasItsSpeedsAndNoCounts) {
  sim::scenario::Scenario scenario = sim::scenario::load_scenario(kScenarios + "demo.toml");
  scenario.travel.profile = {
      {0.0, 4.0 / 3.6, 0.0}, {10.0, 4.0 / 3.6, 0.0}, {30.0, 16.0 / 3.6, 0.0}};
  const sim::run::RunResult result = driven(scenario, 30.0);
  const std::string section = sim::run::drive_extra(result, std::nullopt, Units::kMetric).section;
  EXPECT_THAT(section, HasSubstr("8.0 km/h"));
  EXPECT_THAT(section, HasSubstr("16.0 km/h"));
  EXPECT_THAT(section, Not(HasSubstr("leftmost row")));  // it never turns
  EXPECT_THAT(section, Not(HasSubstr("Passed over")));
  EXPECT_TRUE(sim::run::drive_lines(result, std::nullopt, Units::kMetric).empty());
  EXPECT_THAT(sim::run::drive_extra(result, std::nullopt, Units::kUs).section, HasSubstr("mph"));
}

// By hand: 3 m/s on a radius of 30 m to the right for 15 s turns by 45 m / 30 m = 1.5 rad, which
// is 85.9 degrees.
TEST(DriveReport, ATurnShowsItsOuterRowsAndItsCourse) {
  sim::scenario::Scenario scenario = sim::scenario::load_scenario(kScenarios + "demo.toml");
  scenario.travel.speed_mps = 3.0;
  scenario.travel.turn_radius_m = 30.0;
  const std::string section =
      sim::run::drive_extra(driven(scenario, 15.0), std::nullopt, Units::kMetric).section;
  EXPECT_THAT(section, HasSubstr("85.9 degrees to the right"));
  EXPECT_THAT(section, HasSubstr("leftmost row"));
}

TEST(DriveReport, StraightOnAtOneSpeedThereIsNothingToShow) {
  const sim::run::RunResult result =
      driven(sim::scenario::load_scenario(kScenarios + "demo.toml"), 20.0);
  EXPECT_TRUE(sim::run::drive_extra(result, std::nullopt, Units::kMetric).section.empty());
}

// The whole way: terminal, report and summary say the same, and the result's hash does not move.
TEST(DriveReport, TheCommandSaysItInAllThreePlaces) {
  const support::ScratchFolder scratch;
  const support::Ended ended = support::sillion(
      {"run", "scenarios/demo_recorded_drive.toml", "--set", "duration=3 s", "--set", "row.count=1",
       "--set", "controller.row_trim=false", "--out", (scratch.path() / "out").string()});
  ASSERT_LE(ended.code, 1) << ended.err;
  const auto summary =
      nlohmann::json::parse(support::text_of(scratch.path() / "out" / "summary.json"));
  const auto other = summary["drive"]["passed_over"]["other_sentences"].get<long long>();
  EXPECT_GT(other, 0);
  EXPECT_THAT(ended.out, HasSubstr("recorded drive: 3."));
  EXPECT_THAT(ended.out, HasSubstr("other sentences than RMC and VTG: " + std::to_string(other)));
  EXPECT_THAT(support::text_of(scratch.path() / "out" / "report.html"),
              HasSubstr("Speed and course over the pass"));
}

}  // namespace
