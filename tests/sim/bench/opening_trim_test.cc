// What the trim by the coil's current is worth in mm at 16 km/h: two rows of the demo with a valve
// that opens late or early, and healthy rows, which it must leave alone.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::Scenario;

constexpr std::size_t kSettled = 40;  // bands by which the trim has come

PassRecord pass_of(Scenario scenario, const std::string& kind, double amount_ratio, bool trim) {
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  if (!kind.empty()) scenario.faults = {{.kind = kind, .amount_ratio = amount_ratio}};
  scenario.controller.opening_trim = trim;
  return sim::bench::run_pass(scenario, table, {});
}

/// Where the bands begin and where their middles lie.
struct Places {
  std::vector<double> start_m, centre_m;
};
Places places_of(const PassRecord& record) {
  Places places;
  for (const auto& row : record.rows)
    for (std::size_t k = kSettled; k + 1 < row.bands.size(); ++k) {
      places.start_m.push_back(row.bands[k].start_x_ground_m);
      places.centre_m.push_back(row.bands[k].centre_x_ground_m);
    }
  return places;
}

struct Off {
  double mean_mm = 0.0, rms_mm = 0.0;
};
Off off_of(const std::vector<double>& found_m, const std::vector<double>& wanted_m) {
  EXPECT_EQ(found_m.size(), wanted_m.size());
  Off off;
  for (std::size_t k = 0; k < found_m.size(); ++k) {
    const double off_mm = 1e3 * (found_m[k] - wanted_m[k]);
    off.mean_mm += off_mm / static_cast<double>(found_m.size());
    off.rms_mm += off_mm * off_mm / static_cast<double>(found_m.size());
  }
  off.rms_mm = std::sqrt(off.rms_mm);
  return off;
}

struct Effect {
  Off start_plain, start_trimmed, centre_plain, centre_trimmed;
};
Effect effect_of(const std::string& kind, double amount_ratio) {
  const Scenario scenario = sim_test::quiet_demo({"seeds=120"});
  const Places sound = places_of(pass_of(scenario, "", 0.0, false));
  const Places plain = places_of(pass_of(scenario, kind, amount_ratio, false));
  const Places trimmed = places_of(pass_of(scenario, kind, amount_ratio, true));
  const Effect effect{off_of(plain.start_m, sound.start_m), off_of(trimmed.start_m, sound.start_m),
                      off_of(plain.centre_m, sound.centre_m),
                      off_of(trimmed.centre_m, sound.centre_m)};
  std::printf(
      "%-17s %2.0f %%: start off by %+.2f mm in the mean, with the trim %+.2f; centre "
      "%+.2f and %+.2f\n",
      kind.c_str(), 100.0 * amount_ratio, effect.start_plain.mean_mm, effect.start_trimmed.mean_mm,
      effect.centre_plain.mean_mm, effect.centre_trimmed.mean_mm);
  return effect;
}

// The severe sizes of the fault catalog. The start is what the opening moves; the closing is not
// seen in the current and stays where the fault puts it, and with it a part of the centre.
TEST(OpeningTrim, BandsBeginWhereTheyShouldAgain) {
  const Effect sticking = effect_of("sticking_plunger", 0.30);
  EXPECT_GT(sticking.start_plain.mean_mm, 0.7);
  EXPECT_LT(std::abs(sticking.start_trimmed.mean_mm), 0.6);
  EXPECT_LT(std::abs(sticking.centre_trimmed.mean_mm), std::abs(sticking.centre_plain.mean_mm));
  const Effect hot = effect_of("hot_coil", 0.50);
  EXPECT_GT(hot.start_plain.mean_mm, 1.5);
  EXPECT_LT(std::abs(hot.start_trimmed.mean_mm), 0.2);
  EXPECT_LT(std::abs(hot.centre_trimmed.mean_mm), 0.2);
  const Effect low = effect_of("low_voltage", 0.25);
  EXPECT_GT(low.start_plain.mean_mm, 2.5);
  EXPECT_LT(std::abs(low.start_trimmed.mean_mm), 0.8);
  EXPECT_LT(std::abs(low.centre_trimmed.mean_mm), 0.9);
}

// A weak spring lets the valve open early and close late, which partly cancels in the centre. The
// trim mends the start alone.
TEST(OpeningTrim, AWeakSpringKeepsItsLateClosing) {
  const Effect weak = effect_of("weak_spring", 0.40);
  EXPECT_LT(weak.start_plain.mean_mm, -0.2);
  EXPECT_LT(std::abs(weak.start_trimmed.mean_mm), 0.2);
  EXPECT_LT(weak.centre_trimmed.mean_mm, weak.centre_plain.mean_mm + 0.2);
}

// Eight rows of the demo with all their scatter: each band's middle stays within 0.1 mm rms.
TEST(OpeningTrim, HealthyRowsStayWhereTheyAre) {
  const Scenario demo = sim_test::demo({"row.count=8", "controller.row_trim=false"});
  const Places plain = places_of(pass_of(demo, "", 0.0, false));
  const Places trimmed = places_of(pass_of(demo, "", 0.0, true));
  const Off start = off_of(trimmed.start_m, plain.start_m);
  const Off centre = off_of(trimmed.centre_m, plain.centre_m);
  std::printf("8 healthy rows of the demo: the trim moves starts by %.3f mm rms, centres by %.3f\n",
              start.rms_mm, centre.rms_mm);
  EXPECT_LT(centre.rms_mm, 0.1);
  EXPECT_LT(start.rms_mm, 0.15);
}

// A table with a correction by the supply's voltage has covered most of what the current shows:
// together they move the band no further than it belongs.
TEST(OpeningTrim, VoltageIsNotCorrectedTwice) {
  Scenario scenario = sim_test::quiet_demo({"seeds=120"});
  sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  const auto start_of = [&](bool trim) {
    scenario.controller.opening_trim = trim;
    return places_of(sim::bench::run_pass(scenario, table, {})).start_m;
  };
  const std::vector<double> sound_m = start_of(false);
  scenario.faults = {{.kind = "low_voltage", .amount_ratio = 0.10}};
  const double plain_mm = off_of(start_of(false), sound_m).mean_mm;
  // As scenarios/catalog/attachments/short_rake.delay.toml states it.
  table.voltage = {.points = 3,
                   .at = {11'100, 12'600, 14'100},
                   .lead_us = {338, 0, -271},
                   .lag_us = {117, 0, -156}};
  const double corrected_mm = off_of(start_of(false), sound_m).mean_mm;
  const double both_mm = off_of(start_of(true), sound_m).mean_mm;
  std::printf(
      "10 %% less voltage: start off by %+.2f mm, with the correction %+.2f, with correction "
      "and trim %+.2f\n",
      plain_mm, corrected_mm, both_mm);
  EXPECT_GT(plain_mm, 0.5);
  EXPECT_LT(std::abs(both_mm - corrected_mm), 0.35);
  EXPECT_LT(std::abs(both_mm), 0.5);
}

TEST(OpeningTrim, ASlowValveIsSaidAndASoundOneIsNot) {
  const Scenario scenario = sim_test::quiet_demo({"seeds=80", "row.count=1"});
  const auto said = [](const PassRecord& record) {
    return std::ranges::count_if(record.rows.front().events, [](const auto& event) {
      return event.code == SILLION_EVENT_OPENING_LATE;
    });
  };
  EXPECT_EQ(said(pass_of(scenario, "", 0.0, true)), 0);
  EXPECT_EQ(said(pass_of(scenario, "sticking_plunger", 0.3, true)), 0);
  EXPECT_EQ(said(pass_of(scenario, "hot_coil", 0.5, true)), 1);
  EXPECT_EQ(said(pass_of(scenario, "hot_coil", 0.5, false)), 0);  // the table states no opening
}

// Without a coil there is no dip, and nothing changes.
TEST(OpeningTrim, AnIdealRowIsLeftAlone) {
  const Scenario scenario = sim_test::quiet_demo({"seeds=60", "row.physics=ideal"});
  EXPECT_EQ(places_of(pass_of(scenario, "", 0.0, true)).start_m,
            places_of(pass_of(scenario, "", 0.0, false)).start_m);
}

}  // namespace
