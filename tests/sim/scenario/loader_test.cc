// What a scenario file says is what the scenario holds: bases, overrides, either-or keys, studies.
#include "sim/scenario/loader.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>
#include <string>

#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/sections.h"
#include "sim/study/check/suite.h"
#include "sim/study/faults/fault_matrix.h"
#include "sim/study/rate/rate_plan.h"
#include "sim/study/rig/rig_setup.h"
#include "sim/study/sweep/study.h"
#include "sim/study/valve/valve_limits.h"
#include "sim/text/nearest.h"
#include "tests/support/scratch_folder.h"

namespace {

const std::filesystem::path kScenarios = std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios";

// The least that a scenario must say.
const std::string kLeast = R"([attachment]
name = "short rake"
[rate]
in_band = "5 gal/ac"
)";

// The goal's figures may be required more strictly, never more loosely.
bool requires_of(const sim::scenario::Scenario& scenario, const std::string& metric,
                 sim::scenario::BoundSense sense, double bound_ratio) {
  for (const sim::scenario::Requirement& r : scenario.requirements) {
    if (r.metric != metric || r.sense != sense) continue;
    if (sense == sim::scenario::BoundSense::kAtMost ? r.bound <= bound_ratio
                                                    : r.bound >= bound_ratio)
      return true;
  }
  return false;
}

}  // namespace

TEST(Loader, DemoSaysWhatItSays) {
  const sim::scenario::Scenario s = sim::scenario::load_scenario(kScenarios / "demo.toml");
  EXPECT_EQ(s.name, "demo");
  EXPECT_DOUBLE_EQ(s.travel.speed_mps, 160.0 / 36.0);
  EXPECT_DOUBLE_EQ(s.seeding.meter.spacing_m, 0.15);
  EXPECT_EQ(s.row.count, 8);
  EXPECT_DOUBLE_EQ(s.row.width_m, 0.762);
  EXPECT_EQ(s.delivery.kind, model::DeliveryKind::kConveyorGeared);
  // 6 gal/ac over 0.762 m at 16 km/h is 19 ml/s: 5940 gpm per (gal/ac mph in), exactly.
  const double flow_m3ps = s.rate.in_band_m3pm2 * s.row.width_m * s.travel.speed_mps;
  const double gpm_ratio = 6.0 * (16.0 / 1.609344) * 30.0 / 5940.0;
  EXPECT_NEAR(flow_m3ps, gpm_ratio * 3.785411784e-3 / 60.0, 1e-15);
  EXPECT_GE(s.row.count * s.seeds * 5, 20'000);  // the demo's goal is judged over five rng keys
  EXPECT_TRUE(
      requires_of(s, "within_10mm_sensed_lower95", sim::scenario::BoundSense::kAtLeast, 0.95));
  EXPECT_TRUE(
      requires_of(s, "dose_within_10_percent_sensed", sim::scenario::BoundSense::kAtLeast, 0.95));
  EXPECT_TRUE(
      requires_of(s, "length_within_10mm_sensed", sim::scenario::BoundSense::kAtLeast, 0.95));
  EXPECT_TRUE(requires_of(s, "gap_ratio", sim::scenario::BoundSense::kAtMost, 0.05));
  EXPECT_TRUE(requires_of(s, "secondary_ratio", sim::scenario::BoundSense::kAtMost, 0.03));
}

// The noise of the demo is never below what the project has set for itself; every report prints it.
TEST(Loader, DemoNoiseIsAtLeastTheDeclaredOne) {
  const sim::scenario::Scenario s = sim::scenario::load_scenario(kScenarios / "demo.toml");
  EXPECT_GE(s.seeding.meter.scatter_ratio, 0.12);
  EXPECT_GE(s.seeding.meter.doubles_ratio, 0.015);
  EXPECT_GE(s.seeding.meter.skips_ratio, 0.015);
  EXPECT_GE(s.delivery.time_scatter_s, 0.3e-3);
  EXPECT_GE(s.delivery.rest_scatter_m, 3e-3);
  EXPECT_GE(s.sensor.sensor.jitter_s, 0.2e-3);
  EXPECT_GE(s.sensor.sensor.missed_ratio, 0.01);
  EXPECT_GE(s.sensor.sensor.doubled_ratio, 0.003);
  EXPECT_GE(s.noise.outlet_mount_m, 3e-3);
  EXPECT_GE(s.noise.sensor_height_m, 5e-3);
  EXPECT_GE(s.noise.outlet_bore_ratio, 0.015);
  EXPECT_GE(s.noise.tube_length_m, 10e-3);
  EXPECT_GE(s.noise.coil_resistance_ratio, 0.03);
  EXPECT_GE(s.noise.spring_preload_ratio, 0.05);
  EXPECT_GE(s.noise.drop_height_ride_m, 8e-3);
  EXPECT_GE(s.noise.speed_noise_mps, 0.02);
  EXPECT_GE(s.noise.speed_lag_s, 0.3);
  EXPECT_GE(s.noise.speed_period_s, 0.1);
  EXPECT_GE(s.clock.drift_ratio, 50e-6);
  EXPECT_GE(s.noise.pressure_ripple_ratio, 0.03);
  EXPECT_GE(s.noise.voltage_ripple_v, 0.3);
}

TEST(Loader, GravityScattersMoreByDefault) {
  const sim::scenario::Scenario s = sim::scenario::load_scenario(kScenarios / "demo_gravity.toml");
  EXPECT_EQ(s.delivery.kind, model::DeliveryKind::kGravity);
  EXPECT_GE(s.delivery.time_scatter_s, 5e-3);
  EXPECT_GE(s.delivery.roll_scatter_m, 15e-3);
  const sim::scenario::Scenario stated = sim::scenario::load_scenario(
      kScenarios / "demo_gravity.toml", {"delivery.time_scatter=7 ms"});
  EXPECT_DOUBLE_EQ(stated.delivery.time_scatter_s, 7e-3);
}

TEST(Loader, EveryScenarioAndStudyOfTheTreeLoads) {
  int scenarios = 0;
  int studies = 0;
  int rigs = 0;
  int suites = 0;
  int plans = 0;
  for (const auto& entry : std::filesystem::directory_iterator(kScenarios)) {
    if (entry.path().extension() != ".toml") continue;
    std::ifstream in(entry.path());
    std::stringstream text;
    text << in.rdbuf();
    if (entry.path().string().ends_with(".delay.toml")) continue;  // tables, of the scenarios' own
    if (entry.path().string().ends_with(".valve.toml")) continue;  // parts of rigs that load here
    if (text.str().find("\n[limits]") != std::string::npos) {
      EXPECT_NO_THROW(sim::valve::read_valve_limits(entry.path())) << entry.path();
    } else if (text.str().find("\n[axes]") != std::string::npos) {
      EXPECT_NO_THROW(sim::sweep::load_study(entry.path())) << entry.path();
      ++studies;
    } else if (text.str().find("[[family]]") != std::string::npos) {
      EXPECT_NO_THROW(sim::check::load_suite(entry.path())) << entry.path();
      ++suites;
    } else if (text.str().find("\n[[scenario]]") != std::string::npos) {
      EXPECT_NO_THROW(sim::faults::load_matrix(entry.path(), {})) << entry.path();
    } else if (text.str().find("\n[crop]") != std::string::npos) {
      EXPECT_NO_THROW(sim::rate::load_rate_plan(entry.path())) << entry.path();
      ++plans;
    } else if (text.str().find("\n[drive]") != std::string::npos) {
      EXPECT_NO_THROW(sim::rig::load_rig_setup(entry.path())) << entry.path();
      ++rigs;
    } else {
      EXPECT_NO_THROW(sim::scenario::load_scenario(entry.path())) << entry.path();
      ++scenarios;
    }
  }
  EXPECT_GE(scenarios, 8);
  EXPECT_GE(studies, 2);
  EXPECT_GE(rigs, 1);
  EXPECT_GE(suites, 1);
  EXPECT_GE(plans, 1);
}

TEST(Loader, SetsAreLaidOverInOrderAsBareTextOrToml) {
  const sim::scenario::Scenario s = sim::scenario::load_scenario(
      kScenarios / "demo.toml",
      {"travel.speed=8 km/h", "travel.speed=\"12 km/h\"", "row.count=4", "rate.continuous = true",
       "title=a plain sentence", "liquid.viscosity=60 mPa s", "attachment.tube.length=0.4 m",
       "work.lift_times=[\"1 s\", \"2 s\"]"});
  EXPECT_DOUBLE_EQ(s.travel.speed_mps, 120.0 / 36.0);
  EXPECT_EQ(s.row.count, 4);
  EXPECT_TRUE(s.rate.continuous);
  EXPECT_EQ(s.title, "a plain sentence");
  EXPECT_DOUBLE_EQ(s.liquid.liquid.viscosity_pas, 0.06);
  EXPECT_DOUBLE_EQ(s.attachment.tube.length_m, 0.4);
  EXPECT_DOUBLE_EQ(s.attachment.tube.bore_m, 8e-3);  // the catalog's stays
  EXPECT_EQ(s.work.lift_times_s, (std::vector<double>{1.0, 2.0}));
}

TEST(Loader, ListsAreReachedByIndex) {
  const ScratchFolder folder;
  const auto file = folder.write(
      "s.toml", kLeast + "[[require]]\nmetric = \"within_10mm_sensed\"\nat_least = \"95 %\"\n" +
                    "[[require]]\nmetric = \"gap_ratio\"\nat_most = \"5 %\"\n");
  const sim::scenario::Scenario s = sim::scenario::load_scenario(
      file, {"require[0].at_least=90 %", "require.1.at_most=7 %",
             "fault[0]={kind=\"late_edges\", by=\"4 ms\"}", "fault.1.kind=lost_speed",
             "fault.1.from=2 s", "fault.1.until=3 s"});
  EXPECT_DOUBLE_EQ(s.requirements[0].bound, 0.90);
  EXPECT_DOUBLE_EQ(s.requirements[1].bound, 0.07);
  ASSERT_EQ(s.faults.size(), 2u);
  EXPECT_DOUBLE_EQ(s.faults[0].by_s, 4e-3);
  EXPECT_EQ(s.faults[1].kind, "lost_speed");
  EXPECT_DOUBLE_EQ(s.faults[1].until_s, 3.0);
}

// A file with a profile over a base with a constant speed must not keep both.
TEST(Loader, StatingOneOfEitherOrDropsTheOther) {
  const sim::scenario::Scenario ramp = sim::scenario::load_scenario(kScenarios / "demo_ramp.toml");
  EXPECT_FALSE(ramp.travel.profile.empty());
  EXPECT_DOUBLE_EQ(ramp.travel.speed_mps, 160.0 / 36.0);  // its fastest
  // 0.5 m/s2 on every leg
  for (std::size_t i = 1; i < ramp.travel.profile.size(); ++i) {
    const auto& a = ramp.travel.profile[i - 1];
    const auto& b = ramp.travel.profile[i];
    const double change_mps2 = (b.speed_mps - a.speed_mps) / (b.time_s - a.time_s);
    EXPECT_NEAR(std::max(change_mps2, -change_mps2), 0.5, 1e-6);
  }
  const sim::scenario::Scenario flat =
      sim::scenario::load_scenario(kScenarios / "demo_ramp.toml", {"travel.speed=9 km/h"});
  EXPECT_TRUE(flat.travel.profile.empty());
  EXPECT_DOUBLE_EQ(flat.travel.speed_mps, 2.5);
}

TEST(Loader, PopulationSetsTheSpacingByTheRowWidth) {
  // 80 000/ha at 0.762 m: 164.0 mm
  const sim::scenario::Scenario s =
      sim::scenario::load_scenario(kScenarios / "demo.toml", {"seeding.population=80 thousand/ha"});
  EXPECT_NEAR(s.seeding.meter.spacing_m, 0.1640, 0.00005);
}

// Values that were stated for one attachment do not apply to another.
TEST(Loader, ANewNameDropsWhatWasStatedOfTheOld) {
  const ScratchFolder folder;
  folder.write("base.toml", kLeast + "[attachment.tube]\nlength = \"0.45 m\"\n");
  const auto file =
      folder.write("other.toml", "base = \"base\"\n[attachment]\nname = \"swan neck\"\n");
  EXPECT_DOUBLE_EQ(
      sim::scenario::load_scenario(folder.path() / "base.toml").attachment.tube.length_m, 0.45);
  EXPECT_DOUBLE_EQ(sim::scenario::load_scenario(file).attachment.tube.length_m, 0.5);
}

TEST(Loader, BasesChainAndTheLastWordWins) {
  const ScratchFolder folder;
  folder.write("a.toml", kLeast + "seeds = 10\n");  // a key after a table belongs to the table
  folder.write("b.toml", "seeds = 20\n" + kLeast + "[row]\ncount = 2\nwidth = \"0.5 m\"\n");
  folder.write("sub/c.toml", "base = \"../b.toml\"\nrng_key = 7\n[row]\ncount = 3\n");
  const sim::scenario::Scenario s = sim::scenario::load_scenario(folder.path() / "sub/c.toml");
  EXPECT_EQ(s.seeds, 20);
  EXPECT_EQ(s.row.count, 3);
  EXPECT_DOUBLE_EQ(s.row.width_m, 0.5);
  EXPECT_EQ(s.rng_key, 7u);
  EXPECT_THROW(sim::scenario::load_scenario(folder.path() / "a.toml"), sim::text::InputError);
}

TEST(Loader, MeasuredSpacingsAreReadBesideTheTheoreticalOne) {
  const ScratchFolder folder;
  folder.write("rows/measured.csv", "spacing_mm\r\n160\r\n150.5\n\n 240 \n");
  const auto file = folder.write(
      "s.toml", kLeast + "[seeding]\nspacing = \"160 mm\"\nspacings = \"rows/measured.csv\"\n");
  EXPECT_EQ(sim::scenario::load_scenario(file).seeding.spacings_m,
            (std::vector<double>{0.160, 0.1505, 0.240}));
  folder.write("rows/measured.csv", "spacing [in]\n6\n");
  EXPECT_DOUBLE_EQ(sim::scenario::load_scenario(file).seeding.spacings_m.at(0), 0.1524);
}

TEST(Loader, AByteOrderMarkIsTolerated) {
  const ScratchFolder folder;
  const auto file = folder.write("bom.toml", "\xEF\xBB\xBF" + kLeast);
  EXPECT_NO_THROW(sim::scenario::load_scenario(file));
}

TEST(CanonicalText, IsSortedAndBlindToWordsAndPlaces) {
  const auto demo = kScenarios / "demo.toml";
  const std::string text = sim::scenario::canonical_text(sim::scenario::load_scenario(demo));
  std::vector<std::string> lines;
  std::stringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  EXPECT_TRUE(std::is_sorted(lines.begin(), lines.end()));
  EXPECT_GT(lines.size(), 100u);
  EXPECT_NE(text.find("\nrow.width = 0.762\n"), std::string::npos);
  EXPECT_EQ(text, sim::scenario::canonical_text(
                      sim::scenario::load_scenario(demo, {"title=other words"})));
  EXPECT_EQ(text.find(SILLION_SOURCE_DIR), std::string::npos);
}

// The same quantity in other words is the same scenario; every other number makes another one.
TEST(CanonicalText, TellsEveryNumberApart) {
  const auto demo = kScenarios / "demo.toml";
  const std::string text = sim::scenario::canonical_text(sim::scenario::load_scenario(demo));
  EXPECT_EQ(text, sim::scenario::canonical_text(
                      sim::scenario::load_scenario(demo, {"row.width=762 mm"})));
  for (const char* set :
       {"row.width=763 mm", "rng_key=2", "noise.ride_length=0.6 m", "work.lift_times=[\"1 s\"]",
        "require[0].at_least=94 %", "fault[0]={kind=\"late_edges\", by=\"1 ms\"}",
        "attachment.valve.plunger.mass=4 g", "solver.form=dense",
        "travel.profile=[{time=\"0 s\", speed=\"16 km/h\"}]"}) {
    EXPECT_NE(text, sim::scenario::canonical_text(sim::scenario::load_scenario(demo, {set})))
        << set;
  }
}

// A key that the list forgets is a key that nobody can find.
TEST(ScenarioKeys, ListsEveryKeyOnceWithItsHelp) {
  std::vector<std::string> names;
  for (const sim::text::KeyHelp& key : sim::scenario::scenario_keys()) {
    names.push_back(key.key);
    EXPECT_FALSE(key.kind.empty()) << key.key;
  }
  EXPECT_GT(names.size(), 110u);
  std::sort(names.begin(), names.end());
  EXPECT_EQ(std::adjacent_find(names.begin(), names.end()), names.end());
  for (const char* key : {"travel.speed", "seeding.population", "attachment.valve.seat.half_angle",
                          "noise.voltage_ripple_frequency", "fault", "require", "base"}) {
    EXPECT_TRUE(std::binary_search(names.begin(), names.end(), key)) << key;
  }
}

TEST(NearestName, CountsSwapsAsOneAndGivesUpOnStrangers) {
  EXPECT_EQ(sim::text::edit_distance("speed", "speed"), 0);
  EXPECT_EQ(sim::text::edit_distance("speed", "spede"), 1);
  EXPECT_EQ(sim::text::edit_distance("speed", "sped"), 1);
  EXPECT_EQ(sim::text::edit_distance("", "abc"), 3);
  const std::vector<std::string> names = {"bore", "length", "wave_speed"};
  EXPECT_EQ(sim::text::nearest_name("lenght", names), "length");
  EXPECT_EQ(sim::text::nearest_name("xylophone", names), "");
}

TEST(Faults, AreOnForTheirRowAndTimeOnly) {
  sim::scenario::Scenario s;
  s.faults = {{"plugged_outlet", 2, 1.0, 2.0, 0.0, 0.25},
              {"low_voltage", -1, 0.0, 1e9, 0.0, 0.5},
              {"low_voltage", -1, 0.0, 1e9, 0.0, 0.2},
              {"pressure_sag", 0, 0.0, 1e9, 0.0, 0.1},
              {"lost_speed", -1, 3.0, 4.0, 0.0, 0.0}};
  EXPECT_DOUBLE_EQ(sim::scenario::plant_at(s, 2, 1.0).outlet_area_ratio, 0.75);
  EXPECT_DOUBLE_EQ(sim::scenario::plant_at(s, 2, 2.0).outlet_area_ratio, 1.0);
  EXPECT_DOUBLE_EQ(sim::scenario::plant_at(s, 1, 1.5).outlet_area_ratio, 1.0);
  EXPECT_DOUBLE_EQ(sim::scenario::plant_at(s, 1, 1.5).supply_voltage_ratio, 0.4);  // 0.5 * 0.8
  EXPECT_DOUBLE_EQ(sim::scenario::plant_at(s, 0, 0.0).supply_pressure_ratio, 0.9);
  EXPECT_FALSE(sim::scenario::plant_at(s, 0, 2.9).speed_lost);
  EXPECT_TRUE(sim::scenario::plant_at(s, 0, 3.0).speed_lost);
}

TEST(Faults, BendEdgesByDelayAndLoss) {
  sim::scenario::Scenario s;
  s.faults = {{"late_edges", -1, 0.0, 1e9, 4e-3, 0.0}, {"lost_edges", 1, 0.0, 1e9, 0.0, 0.3}};
  EXPECT_DOUBLE_EQ(sim::scenario::bend_edge(s, 0, {.at_s = 1.0, .uniform_ratio = 0.0}).at_s, 1.004);
  EXPECT_FALSE(sim::scenario::bend_edge(s, 0, {.at_s = 1.0, .uniform_ratio = 0.0}).lost);
  EXPECT_TRUE(sim::scenario::bend_edge(s, 1, {.at_s = 1.0, .uniform_ratio = 0.29}).lost);
  EXPECT_FALSE(sim::scenario::bend_edge(s, 1, {.at_s = 1.0, .uniform_ratio = 0.30}).lost);
  s.faults.clear();
  EXPECT_DOUBLE_EQ(sim::scenario::bend_edge(s, 1, {.at_s = 1.0, .uniform_ratio = 0.0}).at_s, 1.0);
}

TEST(Study, DemoSweepIsAGridOfSpeedAndSpacing) {
  const sim::sweep::Study study = sim::sweep::load_study(kScenarios / "demo_sweep.toml");
  EXPECT_EQ(study.name, "demo_sweep");
  ASSERT_EQ(study.axes.size(), 2u);
  EXPECT_EQ(study.axes[0].key, "travel.speed");
  EXPECT_EQ(study.axes[0].values.front(), "6 km/h");
  EXPECT_EQ(study.axes[0].values.back(), "16 km/h");
  EXPECT_EQ(study.axes[1].key, "seeding.spacing");
  EXPECT_EQ(study.replicas, 2);
  EXPECT_EQ(study.shown, (std::vector<std::string>{"16 km/h", "0.15 m"}));
}

TEST(Study, AxesKeepTheOrderOfWritingAndRangesCountInTheirUnit) {
  const ScratchFolder folder;
  folder.write("base.toml", kLeast);
  const auto file = folder.write("study.toml", R"(base = "base"
replicas = 3
[set]
row = {count = 2}
"seeding.scatter" = "10 %"
[axes]
"travel.speed" = {from = "6 km/h", to = "16 km/h", steps = 6}
attachment.name = ["swan neck", "short rake"]
"row.count" = [1, 2]
)");
  const sim::sweep::Study study = sim::sweep::load_study(file);
  ASSERT_EQ(study.axes.size(), 3u);
  EXPECT_EQ(study.axes[0].values, (std::vector<std::string>{"6 km/h", "8 km/h", "10 km/h",
                                                            "12 km/h", "14 km/h", "16 km/h"}));
  EXPECT_EQ(study.axes[1].values, (std::vector<std::string>{"swan neck", "short rake"}));
  EXPECT_EQ(study.axes[2].values, (std::vector<std::string>{"1", "2"}));
  // what a sweep does with it: sets first, then the axes
  std::vector<std::string> sets = study.sets;
  for (const sim::scenario::StudyAxis& axis : study.axes)
    sets.push_back(axis.key + "=" + axis.values[0]);
  const sim::scenario::Scenario cell = sim::scenario::load_scenario(study.base, sets);
  EXPECT_EQ(cell.attachment.name, "swan neck");
  EXPECT_EQ(cell.row.count, 1);
  EXPECT_DOUBLE_EQ(cell.seeding.meter.scatter_ratio, 0.10);
}

TEST(Study, SetsOfTheCommandLineReachStudyAndScenario) {
  const sim::sweep::Study study =
      sim::sweep::load_study(kScenarios / "demo_sweep.toml",
                             {"replicas=1", "rng_key=9", "row.count=2",
                              "axes.travel.speed=[\"9 km/h\"]", "shown=[\"9 km/h\", \"0.10 m\"]"});
  EXPECT_EQ(study.replicas, 1);
  EXPECT_EQ(study.rng_key, 9u);
  EXPECT_EQ(study.sets, (std::vector<std::string>{"seeds=160", "row.count=2"}));
  EXPECT_EQ(study.axes[0].values, (std::vector<std::string>{"9 km/h"}));
}
