// A measurement beside the rig: what is read of a CSV file, what is refused, what is printed.
#include "sim/study/rig/measured.h"

#include <gtest/gtest.h>

#include <cmath>

#include <nlohmann/json.hpp>

#include "sim/study/rig/measured_beside.h"
#include "sim/study/rig/rig_tables.h"
#include "tests/support/run_program.h"
#include "tests/support/scratch_folder.h"

namespace {

/// The demo's rig beside a CSV file; `keys` are further lines of [measured].
std::filesystem::path setup_with(const ScratchFolder& folder, const std::string& csv,
                                 const std::string& keys = {}) {
  folder.write("scope.csv", csv);
  return folder.write("setup.toml",
                      "base = \"" SILLION_SOURCE_DIR
                      "/scenarios/demo_rig.toml\"\n[measured]\nfile = \"scope.csv\"\n" +
                          keys);
}

sim::rig::RigSetup load(const std::string& csv, const std::string& keys = {}) {
  const ScratchFolder folder;
  return sim::rig::load_rig_setup(setup_with(folder, csv, keys));
}

void expect_refused(const std::string& csv, const std::string& keys, const std::string& words) {
  try {
    load(csv, keys);
    FAIL() << "accepted: " << csv;
  } catch (const sim::text::InputError& error) {
    EXPECT_NE(std::string(error.what()).find(words), std::string::npos) << error.what();
  }
}

}  // namespace

TEST(RigMeasured, ReadsTheNamesOfTheHistories) {
  const auto setup = load("t_s,lift_m,other,current_a\n0,0,x,1.5\n0.001,0.0002,y,\n");
  ASSERT_EQ(setup.measured.columns->size(), 2U);
  const auto& lift = setup.measured.columns->at(0);
  EXPECT_EQ(lift.history->name, "lift_m");
  EXPECT_EQ(lift.values_si, (std::vector<double>{0.0, 2e-4}));
  const auto& current = setup.measured.columns->at(1);
  EXPECT_EQ(current.time_s, std::vector<double>{0.0});  // a cell without text is no point
}

TEST(RigMeasured, ReadsThePeoplesUnitsAndShiftsTheTime) {
  const auto setup =
      load("# a scope\ntime [ms]; current [mA]; outlet_flow [l/min]\n-1; 250; 0\n2.5; 1500; 1.2\n",
           "column = \"current_a\"\nshift = \"2 ms\"\n");
  ASSERT_EQ(setup.measured.columns->size(), 1U);
  const auto& current = setup.measured.columns->front();
  EXPECT_NEAR(current.time_s[0], 1e-3, 1e-15);
  EXPECT_NEAR(current.time_s[1], 4.5e-3, 1e-15);
  EXPECT_NEAR(current.values_si[1], 1.5, 1e-15);
}

TEST(RigMeasured, RefusesWithPlaceAndNearestName) {
  const std::string good = "t_s,current_a\n0,0\n0.01,1\n";
  expect_refused(
      good, "column = \"curent_a\"\n",
      "setup.toml:4: measured.column: \"curent_a\" is no history of a rig; nearest valid "
      "name: `current_a`");
  expect_refused("t_s,curent_a\n0,0\n", "column = \"current_a\"\n",
                 "scope.csv:1: current_a: this column is missing; nearest valid name: `curent_a`");
  expect_refused("t_s,curent_a\n0,0\n", "",
                 "scope.csv:1: curent_a: is no history of a rig; nearest valid name: `current_a`");
  expect_refused("t_s,voltage\n0,0\n", "", "no column is named like a history");
  expect_refused("current_a\n0\n", "", "scope.csv:1: t_s: this column is missing");
  expect_refused("time,current_a\n0,0\n", "", "scope.csv:1: time: has no unit");
  expect_refused("t_s,current [V]\n0,0\n", "", "\"V\" is not a unit of current");
  expect_refused("t_s,current_a,current [mA]\n0,0,0\n", "", "appears twice");
  expect_refused("t_s,current_a\n0,0\n0.01,1,5\n", "", "scope.csv:3: this line has 3 cells");
  expect_refused("t_s;current_a\n0;0\n0,01;1\n", "",
                 "scope.csv:3: t_s: \"0,01\" has a decimal comma");
  expect_refused("t_s,current_a\n0,nan\n", "", "scope.csv:2: current_a: \"nan\" is not a number");
  expect_refused("t_s,current_a\n0,1e300\n", "",
                 "scope.csv:2: current_a: \"1e300\" is out of range");
  expect_refused("t_s,current_a\n0.01,0\n0,1\n", "", "scope.csv:3: t_s: falls back");
  expect_refused("t_s,current_a\n0.01,\n", "", "scope.csv: current_a: holds no value");
  expect_refused("", "", "is empty");
  expect_refused("t_s,current_a\n9,0\n", "", "measured.file: no point of current_a");
  expect_refused("t_s,middle_pressure_gauge_pa\n0,0\n", "", "belongs to a bare tube");
  expect_refused(good, "colum = \"current_a\"\n", "measured.column");
}

TEST(RigMeasured, RefusesAFileThatIsNotThereAndKeysWithoutOne) {
  const ScratchFolder folder;
  const std::string setup = SILLION_SOURCE_DIR "/scenarios/demo_rig.toml";
  const auto run = support::sillion(
      {"rig", setup, "--set", "measured.file=\"no.csv\"", "--out", (folder.path() / "o").string()});
  EXPECT_EQ(run.code, 2);
  EXPECT_NE(run.err.find("--set measured.file: no such file"), std::string::npos) << run.err;
  const auto alone = support::sillion(
      {"rig", setup, "--set", "measured.shift=\"1 ms\"", "--out", (folder.path() / "o").string()});
  EXPECT_EQ(alone.code, 2);
  EXPECT_NE(alone.err.find("needs measured.file"), std::string::npos) << alone.err;
}

// A made-up run: model 0, 1, 2 A at 0, 1, 2 ms. Measured 0 at 0, 1 A at 0.5 ms, 1 A at 2 ms, and a
// point after the end. Model minus measured: 0, -0.5, +1; rms = sqrt(1.25/3).
TEST(RigMeasured, DifferencesWorkedByHand) {
  sim::rig::RigResult result;
  result.series.time_s = {0.0, 1e-3, 2e-3};
  result.series.current_a = {0.0, 1.0, 2.0};
  sim::rig::MeasuredColumn column{.time_s = {0.0, 0.5e-3, 2e-3, 5e-3},
                                  .values_si = {0.0, 1.0, 1.0, 7.0}};
  for (const auto& history : sim::rig::kRigColumns)
    if (history.name == "current_a") column.history = &history;
  result.setup.measured.columns =
      std::make_shared<const std::vector<sim::rig::MeasuredColumn>>(1, column);
  const auto one = sim::rig::measured_differences(result).front();
  EXPECT_EQ(one.points, 3U);
  EXPECT_EQ(one.outside, 1U);
  EXPECT_DOUBLE_EQ(one.rms_si, std::sqrt(1.25 / 3.0));
  EXPECT_DOUBLE_EQ(one.largest_si, 1.0);
  EXPECT_DOUBLE_EQ(one.largest_at_s, 2e-3);
  EXPECT_DOUBLE_EQ(one.highest_si, 1.0);
  EXPECT_EQ(
      sim::rig::measured_words(result, sim::output::Units::kMetric),
      "model minus measured, current_a: rms 0.645 A (64.5 % of the highest), largest +1.000 A "
      "at 2.00 ms; 3 points, 1 outside the record\n");
}

// The columns that a measurement may have are those of series.csv, and a run beside its own series
// misses nothing.
TEST(RigMeasured, ARunBesideItselfMissesNothing) {
  const ScratchFolder folder;
  const std::string demo = SILLION_SOURCE_DIR "/scenarios/demo_rig.toml";
  const auto first = support::sillion({"rig", demo, "--out", (folder.path() / "a").string()});
  ASSERT_EQ(first.code, 0) << first.err;
  const auto svg = folder.path() / "beside.svg";
  const auto run = support::sillion(
      {"rig", demo, "--set", "measured.file=\"" + (folder.path() / "a/series.csv").string() + "\"",
       "--plot", "--svg", svg.string(), "--json", "--out", (folder.path() / "b").string()});
  ASSERT_EQ(run.code, 0) << run.err;
  const auto json = nlohmann::json::parse(run.out);
  ASSERT_EQ(json["measured"].size(), sim::rig::kRigColumns.size() - 1);  // none midway in a chain
  for (const auto& one : json["measured"]) {
    EXPECT_GT(one["points"], 1000) << one;
    EXPECT_NEAR(one["rms"].get<double>(), 0.0, 1e-12 * one["highest"].get<double>()) << one;
  }
  EXPECT_NE(support::text_of(svg).find("dots: measured"), std::string::npos);
  const std::string page = support::text_of(folder.path() / "b/rig.html");
  EXPECT_NE(page.find("Beside the measurement"), std::string::npos);
  EXPECT_EQ(page.find("No bench or field measurement was compared"), std::string::npos);
  const std::string plain = support::text_of(folder.path() / "a/rig.json");
  EXPECT_EQ(plain.find("\"measured\""), std::string::npos);
}
