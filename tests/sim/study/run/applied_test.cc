// What was applied, second by second: sums against the pass that it was taken from, and places
// against circles and straight lines.
#include "sim/study/run/applied.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/study/run/first_bands.h"
#include "sim/study/run/report.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::run::AppliedSecond;
using sim::run::FirstBands;
using sim::run::RunResult;

RunResult run_of(std::vector<std::string> sets) {
  sets.insert(sets.begin(), {"row.count=2", "seeds=100", "controller.row_trim=false"});
  return sim::run::run_scenario(sim_test::demo(sets), {});
}

TEST(Applied, SumsAreThoseOfThePass) {
  const RunResult run = run_of({});
  const std::vector<AppliedSecond> all = sim::run::applied_of(run);
  for (int row = 0; row < 2; ++row) {
    const auto& record = run.record.rows[static_cast<std::size_t>(row)];
    double volume_m3 = 0.0, doses_m3 = 0.0;
    std::size_t seeds = 0, bands = 0, missed = 0, events = 0;
    for (const AppliedSecond& one : all) {
      if (one.row != row) continue;
      volume_m3 += one.volume_m3;
      seeds += static_cast<std::size_t>(one.seeds);
      bands += static_cast<std::size_t>(one.bands);
      missed += static_cast<std::size_t>(one.missed);
      events += static_cast<std::size_t>(one.events);
    }
    for (const auto& band : record.bands) doses_m3 += band.dose_m3;
    EXPECT_EQ(seeds, record.seeds.size());
    EXPECT_EQ(bands, record.bands.size());
    EXPECT_NEAR(volume_m3, doses_m3, 1e-12 * doses_m3);
    EXPECT_NEAR(volume_m3, record.applied_volume_m3, 1e-3 * volume_m3);
    EXPECT_EQ(missed, static_cast<std::size_t>(std::count_if(
                          record.seeds.begin(), record.seeds.end(), [](const auto& seed) {
                            return seed.sensed && seed.status == sim::measure::SeedStatus::kNoBand;
                          })));
    EXPECT_LE(events, record.events.size());
  }
}

// 16 km/h are 4.444 m each second. The set rate is the demo's 6 gal/ac in the band (56.12 l/ha,
// 5.612e-6 m3/m2: 1 gal is 231 cubic inches, 1 acre 4046.86 m2), in the field 60 of 150 mm of it.
TEST(Applied, RatesAndPlacesOfAStraightPass) {
  const std::vector<AppliedSecond> all = sim::run::applied_of(run_of({}));
  const double set_m3pm2 = 6.0 * 231.0 * std::pow(25.4e-3, 3) / 4046.8564224;
  const AppliedSecond& one = all.at(2);
  EXPECT_NEAR(one.in_band_set_m3pm2, set_m3pm2, 1e-12);
  EXPECT_NEAR(one.field_set_m3pm2, 0.4 * set_m3pm2, 1e-12);
  EXPECT_NEAR(one.in_band_m3pm2, set_m3pm2, 0.05 * set_m3pm2);
  EXPECT_NEAR(one.field_m3pm2, 0.4 * set_m3pm2, 0.15 * 0.4 * set_m3pm2);
  EXPECT_NEAR(one.way_m, 16.0 / 3.6, 1e-9);
  EXPECT_NEAR(one.north_m, 2.0 * 16.0 / 3.6, 1e-9);
  EXPECT_NEAR(one.east_m, -0.381, 1e-12);  // the left of two rows at 0.762 m
}

// A right-hand circle of 25 m about a point 25 m east of the start: the left row runs at 25.381 m.
TEST(Applied, PlacesOfACurveLieOnACircle) {
  const std::vector<AppliedSecond> all =
      sim::run::applied_of(run_of({"travel.turn_radius=\"25 m\""}));
  for (const AppliedSecond& one : all) {
    const double radius_m = one.row == 0 ? 25.381 : 24.619;
    EXPECT_NEAR(std::hypot(one.east_m - 25.0, one.north_m), radius_m, 1e-5) << one.from_s;
    if (one.until_s - one.from_s == 1.0) {
      EXPECT_NEAR(one.way_m, 16.0 / 3.6 * radius_m / 25.0, 1e-9);
    }
  }
}

// The pass of two rows lasts half of its row-seconds.
TEST(Applied, CsvHasALinePerRowAndSecond) {
  const RunResult run = run_of({});
  const std::string csv = sim::run::applied_csv(run);
  const auto lines = std::count(csv.begin(), csv.end(), '\n');
  EXPECT_EQ(lines, 1 + 2 * static_cast<long>(std::ceil(run.record.simulated_s / 2.0)));
  EXPECT_THAT(csv, testing::StartsWith("row,from_s,until_s,east_m,north_m,way_m,"));
}

// Lifted for a while: the seeds behind the lowering are counted apart, 10 of each row.
TEST(FirstBands, OfEachKindOfStart) {
  EXPECT_TRUE(sim::run::first_bands_of(run_of({})).empty());
  const auto only = [](const std::vector<std::string>& sets) {
    const std::vector<FirstBands> all = sim::run::first_bands_of(run_of(sets));
    EXPECT_EQ(all.size(), 1u);
    return all.empty() ? FirstBands{} : all[0];
  };
  const FirstBands lowered = only({"work.lift_times=[\"1 s\", \"1.5 s\"]"});
  EXPECT_EQ(lowered.after, "lowering");
  EXPECT_LE(lowered.bands + lowered.without_band, 2 * sim::run::kFirstBands);
  EXPECT_GE(lowered.bands + lowered.without_band, 2 * sim::run::kFirstBands - 4);
  EXPECT_LT(std::abs(lowered.error_mean_m), lowered.error_max_m);
  EXPECT_LE(lowered.dose_least_m3, lowered.dose_mean_m3);
  const FirstBands held = only({"work.run_times=[\"1 s\", \"1.5 s\"]"});
  EXPECT_EQ(held.after, "hold");
  const FirstBands switched =
      only({"work.row_off=[{rows = [1], from = \"1 s\", until = \"1.5 s\"}]"});
  EXPECT_EQ(switched.after, "switching on");
  EXPECT_LE(switched.bands + switched.without_band, sim::run::kFirstBands);
  const FirstBands stopped =
      only({"travel.profile=[{time = \"0 s\", speed = \"16 km/h\"}, {time = "
            "\"1 s\", speed = \"0 km/h\"}, {time = \"1.2 s\", speed = \"0 "
            "km/h\"}, {time = \"2.2 s\", speed = \"16 km/h\"}]"});
  EXPECT_EQ(stopped.after, "a stop");
  const RunResult run = run_of({"work.lift_times=[\"1 s\", \"1.5 s\"]"});
  EXPECT_THAT(sim::run::run_report_html(run, sim::output::Units::kMetric, {}),
              testing::HasSubstr("First bands"));
}

}  // namespace
