#include "sim/measure/summary.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <set>
#include <stdexcept>
#include <string>

#include "sim/measure/catalog.h"
#include "sim/scenario/metric_names.h"
#include "sim/statistics/spread.h"
#include "tests/sim/measure/measure_rows.h"

namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::RowRecord;
using sim::measure::Summary;
using sim::measure::Verdict;
using sim::scenario::Scenario;

// 0.75 m rows, 160 mm spacing, 80 mm bands; a rate that makes the dose 0.2 ml.
Scenario given_scenario() {
  Scenario scenario;
  scenario.row.width_m = 0.75;
  scenario.seeding.meter.spacing_m = kSpacing_m;
  scenario.rate.band_length_m = kBand_m;
  scenario.rate.in_band_m3pm2 = kDose_m3 / (0.75 * kBand_m);
  scenario.sensor.sensor.jitter_s = 0.0;
  return scenario;
}

// Four seeds: banded 4 mm ahead, banded 12 mm behind, sensed without band, and an unsensed one.
RowRecord four_seeds() {
  RowRecord row;
  for (double x_m : {1.00, 1.16, 1.32}) add_seed(row, x_m);
  add_seed(row, 1.48, false);
  add_band_at(row, 1.004);
  add_band_at(row, 1.148);
  return row;
}

Summary summarized(std::vector<RowRecord> rows, const Scenario& scenario) {
  return sim::measure::summarize(rows, scenario, 12.5);
}

RowRecord long_row(double shift_m) {
  RowRecord row;
  for (double x_m : irregular_places_m(60)) add_seed(row, x_m);
  for (const sim::measure::SeedRecord& seed : row.seeds)
    add_band_at(row, seed.rest_x_ground_m + shift_m);
  return row;
}

sim::scenario::Requirement at_least(const char* metric, double bound) {
  return {metric, sim::scenario::BoundSense::kAtLeast, bound};
}
sim::scenario::Requirement at_most(const char* metric, double bound) {
  return {metric, sim::scenario::BoundSense::kAtMost, bound};
}

}  // namespace

// Type 7 of Hyndman and Fan: between the k-th and the next of n at (n - 1) p, worked by hand.
TEST(Spread, QuantilesLieLinearlyBetweenTheSorted) {
  const sim::statistics::Spread s =
      sim::statistics::spread_of({3.0, -5.0, 1.0, 4.0, 2.0});  // -5 1 2 3 4
  EXPECT_DOUBLE_EQ(s.mean_m, 1.0);
  EXPECT_DOUBLE_EQ(s.sd_m, std::sqrt((36.0 + 0.0 + 1.0 + 4.0 + 9.0) / 4.0));
  EXPECT_DOUBLE_EQ(s.p05_m, -3.8);  // h = 0.2: -5 + 0.2 * 6
  EXPECT_DOUBLE_EQ(s.p50_m, 2.0);
  EXPECT_DOUBLE_EQ(s.p95_m, 3.8);      // h = 3.8: 3 + 0.8 * 1
  EXPECT_DOUBLE_EQ(s.abs_p95_m, 4.8);  // 1 2 3 4 5
  EXPECT_DOUBLE_EQ(s.max_abs_m, 5.0);
}

TEST(Spread, OfNothingIsNothingAndOfOneHasNoSd) {
  EXPECT_TRUE(std::isnan(sim::statistics::spread_of({}).mean_m));
  EXPECT_TRUE(std::isnan(sim::statistics::spread_of({}).p95_m));
  EXPECT_EQ(sim::statistics::spread_of({2.0}).p05_m, 2.0);
  EXPECT_TRUE(std::isnan(sim::statistics::spread_of({2.0}).sd_m));
}

TEST(Summary, SharesNameTheirDenominators) {
  const Summary s = summarized({four_seeds()}, given_scenario());
  EXPECT_EQ(s.all.seeds.placed, 4);
  EXPECT_EQ(s.all.seeds.sensed, 3);
  EXPECT_EQ(s.all.seeds.banded, 2);
  EXPECT_EQ(s.all.seeds.no_band, 1);
  EXPECT_EQ(s.all.seeds.edge_missed, 1);
  EXPECT_DOUBLE_EQ(s.all.within[0].tolerance_m, 0.010);
  EXPECT_DOUBLE_EQ(s.all.within[0].placed_ratio, 1.0 / 4.0);
  EXPECT_DOUBLE_EQ(s.all.within[0].sensed_ratio, 1.0 / 3.0);
  EXPECT_DOUBLE_EQ(s.all.within[1].sensed_ratio, 2.0 / 3.0);
  EXPECT_DOUBLE_EQ(s.all.within[2].tolerance_m, 0.040);
  EXPECT_NEAR(s.all.placement_error.mean_m, -0.004, 1e-12);
  EXPECT_DOUBLE_EQ(s.simulated_s, 12.5);
}

TEST(Summary, StatusesAddUpToTheSeedsPlaced) {
  RowRecord row = four_seeds();
  add_seed(row, 1.012, false);  // shared
  add_seed(row, 1.64);          // weak
  add_band_at(row, 1.64).dose_m3 = 0.3 * kDose_m3;
  add_band_at(row, 3.0);  // stray
  const Summary s = summarized({row}, given_scenario());
  const sim::measure::SeedCounts& n = s.all.seeds;
  EXPECT_EQ(n.shared, 1);
  EXPECT_EQ(n.weak, 1);
  EXPECT_EQ(s.all.stray_bands, 1);
  EXPECT_EQ(n.banded + n.merged + n.shared + n.edge_missed + n.no_band + n.weak, n.placed);
}

TEST(Summary, DoseAndLengthAreJudgedOnOwnBandsOfSensedSeeds) {
  RowRecord row;
  for (int k = 0; k < 4; ++k) add_seed(row, 1.0 + kSpacing_m * k, k != 3);
  add_band_at(row, 1.00).dose_m3 = 1.09 * kDose_m3;
  add_band_at(row, 1.16).dose_m3 = 1.11 * kDose_m3;
  add_band(row, 1.273, 1.364);  // 91 mm: 11 mm too long; dose 13.75 % up
  add_band_at(row, 1.48);       // of an unsensed seed
  const Summary s = summarized({row}, given_scenario());
  EXPECT_DOUBLE_EQ(s.all.dose_within_10_percent_sensed_ratio, 1.0 / 3.0);
  EXPECT_DOUBLE_EQ(s.all.length_within_10mm_sensed_ratio, 2.0 / 3.0);
  const double mean_m3 = kDose_m3 * (1.09 + 1.11 + 91.0 / 80.0 + 1.0) / 4.0;
  EXPECT_NEAR(s.all.dose_mean_m3, mean_m3, 1e-18);
  EXPECT_NEAR(s.all.in_band_rate_m3pm2, mean_m3 / (0.75 * 0.08), 1e-15);
}

TEST(Summary, RatesAndBalanceComeFromTheRowsVolumes) {
  RowRecord a = four_seeds(), b = four_seeds();
  a.applied_volume_m3 = 3e-6;
  a.worked_volume_m3 = 2.5e-6;  // half of a microlitre lies beyond the ends of the way at work
  a.outside_volume_m3 = 0.1e-6;
  a.travelled_m = 10.0;
  a.inlet_volume_m3 = 4e-6;
  a.balance_residual_m3 = -4e-16;
  b.applied_volume_m3 = 1e-6;
  b.worked_volume_m3 = 1e-6;
  b.outside_volume_m3 = 0.3e-6;
  b.travelled_m = 30.0;
  b.inlet_volume_m3 = 1e-6;
  b.balance_residual_m3 = 3e-16;
  const Summary s = summarized({a, b}, given_scenario());
  EXPECT_NEAR(s.all.gap_ratio, 0.1, 1e-12);
  EXPECT_NEAR(s.all.field_rate_m3pm2, 3.5e-6 / (40.0 * 0.75), 1e-18);
  EXPECT_NEAR(s.all.balance_residual_ratio, 3e-10, 1e-18);
  EXPECT_NEAR(s.rows[0].balance_residual_ratio, 1e-10, 1e-18);
  EXPECT_NEAR(s.rows[1].gap_ratio, 0.3, 1e-12);
}

TEST(Summary, BandsOfNobodyCountInNoShape) {
  RowRecord row = four_seeds();
  row.bands[0].secondary_ratio = 0.02;
  row.bands[1].secondary_ratio = 0.04;
  add_band_at(row, 9.0).secondary_ratio = 0.9;
  const Summary s = summarized({row}, given_scenario());
  EXPECT_NEAR(s.all.secondary_mean_ratio, 0.03, 1e-15);
  EXPECT_NEAR(s.all.band_length.mean_m, kBand_m, 1e-12);
}

TEST(Summary, SpacingIsThatOfTheSeedsAtRest) {
  const Summary s = summarized({four_seeds(), four_seeds()}, given_scenario());
  EXPECT_EQ(s.spacing.spacings, 6);  // none across rows
  EXPECT_EQ(s.spacing.simple.quality_of_feed_ratio, 1.0);
}

TEST(Summary, HealthIsSummedInEveryCounter) {
  RowRecord a = four_seeds(), b = four_seeds();
  a.health = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12};
  b.health = {100, 200, 300, 400, 500, 600, 700, 800, 900, 1000, 1100, 1200};
  const sillion_health sum = summarized({a, b}, given_scenario()).health;
  EXPECT_EQ(sum.edges_accepted, 101u);
  EXPECT_EQ(sum.edges_rejected, 202u);
  EXPECT_EQ(sum.queue_overflows, 303u);
  EXPECT_EQ(sum.late_compares, 404u);
  EXPECT_EQ(sum.bad_frames, 505u);
  EXPECT_EQ(sum.resets, 606u);
  EXPECT_EQ(sum.merged_seeds, 707u);
  EXPECT_EQ(sum.continuous_ms, 808u);
  EXPECT_EQ(sum.stale_speed_ms, 909u);
  EXPECT_EQ(sum.capture_overflows, 1010u);
  EXPECT_EQ(sum.skipped_seeds, 1111u);
  EXPECT_EQ(sum.safe_closed_ms, 1212u);
}

TEST(Summary, AnEmptyPassHasNoFiguresAndHoldsNothing) {
  Scenario scenario = given_scenario();
  scenario.requirements = {at_least("within_10mm_sensed", 0.0)};
  const Summary s = summarized({}, scenario);
  EXPECT_TRUE(std::isnan(s.all.within[0].sensed_ratio));
  EXPECT_FALSE(s.requirements[0].holds);
  EXPECT_EQ(s.verdict, Verdict::kFail);
}

TEST(BreakEvenOfAPass, CountsSensedSeedsOnly) {
  // 60 perfect bands: 10 mm over the 97.5 % point of the normal table.
  const Summary s = summarized({long_row(0.0)}, given_scenario());
  EXPECT_NEAR(s.break_even_scatter_m, 0.010 / 1.959964, 2e-8);
  EXPECT_EQ(summarized({four_seeds()}, given_scenario()).break_even_scatter_m, 0.0);
}

TEST(BreakEvenOfAPass, AGoodStretchCountsWithItsLargerEndMiss) {
  RowRecord row;
  add_seed(row, 1.0);
  add_seed(row, 1.1);
  add_band(row, 0.962, 1.134);  // 2 mm in at the start, 6 mm short at the end
  cover(row, 0, 0, 1.0);
  cover(row, 0, 1, 1.0);
  row.shortest_closed_s = 6e-3;
  const Summary s = summarized({row}, given_scenario());
  EXPECT_EQ(s.all.seeds.merged, 2);
  EXPECT_EQ(s.all.within[0].sensed_ratio, 1.0);
  EXPECT_NEAR(s.break_even_scatter_m, 0.004 / 1.644854, 1e-7);  // as 6 mm off
}

TEST(Verdict, HoldsFailsOrHasNothingToJudgeBy) {
  Scenario scenario = given_scenario();
  EXPECT_EQ(summarized({long_row(0.0)}, scenario).verdict, Verdict::kNone);
  scenario.requirements = {at_least("within_10mm_sensed", 0.95),
                           at_most("placement_error_abs_p95", 0.010)};
  EXPECT_EQ(summarized({long_row(0.0)}, scenario).verdict, Verdict::kHold);
  const Summary off = summarized({long_row(0.011)}, scenario);
  EXPECT_EQ(off.verdict, Verdict::kFail);
  EXPECT_FALSE(off.requirements[0].holds);
  EXPECT_NEAR(off.requirements[1].value, 0.011, 1e-12);
  EXPECT_EQ(off.requirements[1].name, "placement_error_abs_p95 at most");
  EXPECT_EQ(off.requirements[1].unit, "m");
}

TEST(Verdict, WrongSeedComesFirst) {
  Scenario scenario = given_scenario();
  scenario.requirements = {at_most("within_10mm_sensed", 1.0)};  // would hold
  const Summary s = summarized({long_row(0.0), long_row(kSpacing_m)}, scenario);
  EXPECT_EQ(s.rows[0].lag_seeds, 0);
  EXPECT_EQ(s.rows[1].lag_seeds, -1);
  EXPECT_EQ(s.all.lag_seeds, -1);  // one row is enough
  EXPECT_EQ(s.verdict, Verdict::kWrongSeed);
  scenario.requirements.clear();
  EXPECT_EQ(summarized({long_row(kSpacing_m)}, scenario).verdict, Verdict::kWrongSeed);
}

TEST(Verdict, MissingDataIsNeverAPass) {
  Scenario scenario = given_scenario();
  scenario.requirements = {at_most("gap_ratio", 0.05)};  // nothing was applied
  const Summary s = summarized({long_row(0.0)}, scenario);
  EXPECT_TRUE(std::isnan(s.requirements[0].value));
  EXPECT_EQ(s.verdict, Verdict::kFail);
}

TEST(Verdict, AnUnknownMetricIsRefused) {
  Scenario scenario = given_scenario();
  scenario.requirements = {at_most("luck", 0.05)};
  EXPECT_THROW(summarized({long_row(0.0)}, scenario), std::invalid_argument);
}

TEST(Verdict, Words) {
  EXPECT_STREQ(sim::measure::verdict_word(Verdict::kHold), "hold");
  EXPECT_STREQ(sim::measure::verdict_word(Verdict::kFail), "fail");
  EXPECT_STREQ(sim::measure::verdict_word(Verdict::kWrongSeed), "wrong seed");
  EXPECT_STREQ(sim::measure::verdict_word(Verdict::kNone), "none");
}

namespace {

// Water at 14.1 m/s through 1.7 mm, seed of 0.3 g.
Summary jet_pass(double clearance_m, bool guided, double speed_mps) {
  Scenario scenario = given_scenario();
  scenario.liquid.liquid.density_kgpm3 = 1000.0;
  scenario.attachment.outlet.bore_m = 1.7e-3;
  scenario.attachment.outlet.discharge_coefficient_ratio = 1.0;
  scenario.attachment.lateral_clearance_m = clearance_m;
  scenario.attachment.guided = guided;
  scenario.sensor.seed_mass_kg = 0.3e-3;
  scenario.noise.outlet_mount_m = 3e-3;
  RowRecord row = four_seeds();
  row.applied_volume_m3 = 2e-6;
  row.jet_speed_sum_mps = speed_mps * 2e-6;
  return summarized({row}, scenario);
}

}  // namespace

// 32 ml/s through 1.7 mm: u = 32e-6/2.2698e-6 = 14.098 m/s; thrust 1000 * 32e-6 * 14.098 = 0.451 N;
// a seed of 0.3 g weighs 2.942 mN: 153 times (with a starter of 1300 kg/m3 it would be 199).
TEST(Jet, ThrustIsOverTheSeedsWeight) {
  const Summary s = jet_pass(0.02, false, 14.098);
  EXPECT_NEAR(s.jet.speed_mps, 14.098, 1e-9);
  EXPECT_NEAR(s.jet.thrust_over_seed_weight_ratio, 153.3, 0.1);
}

TEST(Jet, MayMoveASeedThatItCanReachAndLift) {
  // Reach sideways: 0.85 + 5 + 2 * 3 = 11.85 mm.
  EXPECT_TRUE(jet_pass(0.0118, false, 14.1).jet.may_move_seed);
  EXPECT_FALSE(jet_pass(0.0119, false, 14.1).jet.may_move_seed);
  EXPECT_FALSE(jet_pass(0.0, true, 14.1).jet.may_move_seed);  // guided down a surface
  EXPECT_FALSE(jet_pass(0.0, false, 1.1).jet.may_move_seed);  // thrust 0.93 of the weight
  EXPECT_TRUE(std::isnan(summarized({four_seeds()}, given_scenario()).jet.speed_mps));
}

namespace {

Scenario jet_scenario() {
  Scenario scenario = given_scenario();
  scenario.attachment.outlet.bore_m = 1e-3;
  scenario.attachment.outlet.discharge_coefficient_ratio = 1.0;
  scenario.attachment.jet.drop_height_m = 0.05;
  return scenario;
}

sim::measure::JetFigures jet_at(const Scenario& scenario, double speed_mps) {
  RowRecord row = four_seeds();
  row.applied_volume_m3 = 2e-6;
  row.jet_speed_sum_mps = speed_mps * 2e-6;
  return summarized({row}, scenario).jet;
}

}  // namespace

// Clearance 20 mm; 30 degrees towards the seed line at 10 m/s over 50 mm: u_z = 8.66025, t =
// 5.75475 ms, reach -28.7738 mm: lands 8.77 mm across the seed line, within 11.5 mm (half bore
// 0.5).
TEST(Jet, TheLandingLineDecidesWhetherItMeetsTheSeed) {
  Scenario scenario = jet_scenario();
  scenario.attachment.lateral_clearance_m = 0.02;
  EXPECT_NEAR(jet_at(scenario, 10.0).landing_clearance_m, 0.02, 1e-15);
  EXPECT_FALSE(jet_at(scenario, 10.0).may_move_seed);
  scenario.attachment.jet.side_aim_rad = -3.14159265358979 / 6.0;
  EXPECT_NEAR(jet_at(scenario, 10.0).landing_clearance_m, 8.7738e-3, 1e-6);
  EXPECT_TRUE(jet_at(scenario, 10.0).may_move_seed);
  scenario.attachment.jet.side_aim_rad = 3.14159265358979 / 6.0;
  EXPECT_FALSE(jet_at(scenario, 10.0).may_move_seed);
}

// Water, 1 mm: laminar L = 19.5 d We^.5 (Oh small); at 1 m/s We = 13.7, L = 73 mm, whole over 50
// and in drops over 100 mm. Dripping limit 0.432 m/s.
TEST(Jet, FlagsOfItsShape) {
  Scenario scenario = jet_scenario();
  const sim::measure::JetFigures slow = jet_at(scenario, 1.0);
  EXPECT_NEAR(slow.breakup_length_m, 0.073, 0.001);
  EXPECT_FALSE(slow.breaks_up);
  EXPECT_FALSE(slow.drips);
  EXPECT_TRUE(jet_at(scenario, 0.40).drips);
  EXPECT_FALSE(jet_at(scenario, 0.45).drips);
  EXPECT_FALSE(jet_at(scenario, 1.0).splashes);
  EXPECT_TRUE(jet_at(scenario, 10.0).splashes);
  scenario.attachment.jet.drop_height_m = 0.10;
  EXPECT_TRUE(jet_at(scenario, 1.0).breaks_up);
}

// 40 mm of guide at 1 m/s: 40 ms. Free fall from 10 m/s takes 3.99 ms; 7.85 ml/s of water as a film
// over 10 mm runs at 1.262 m/s: 31.7 ms, so 1 m/s is slower than any film.
TEST(Jet, AGuidesSpeedLiesBetweenItsBounds) {
  Scenario scenario = jet_scenario();
  scenario.attachment.guided = true;
  scenario.attachment.jet.guide_length_m = 0.04;
  scenario.attachment.jet.guide_speed_mps = 1.0;
  const sim::measure::JetFigures slow = jet_at(scenario, 10.0);
  EXPECT_NEAR(slow.guide_time_s, 0.040, 1e-12);
  EXPECT_NEAR(slow.guide_least_time_s, 3.992e-3, 1e-6);
  EXPECT_NEAR(slow.guide_most_time_s, 31.7e-3, 1e-4);
  EXPECT_TRUE(slow.guide_speed_outside);
  scenario.attachment.jet.guide_speed_mps = 3.0;
  EXPECT_FALSE(jet_at(scenario, 10.0).guide_speed_outside);
  scenario.attachment.jet.guide_speed_mps = 12.0;
  EXPECT_TRUE(jet_at(scenario, 10.0).guide_speed_outside);
}

TEST(MetricCatalog, NamesAreUniqueAndEveryMetricReads) {
  const Summary s = summarized({long_row(0.0)}, given_scenario());
  std::set<std::string> names;
  for (const sim::scenario::MetricName& metric : sim::scenario::metric_names()) {
    EXPECT_TRUE(names.insert(std::string(metric.name)).second) << metric.name;
    EXPECT_FALSE(metric.unit.empty() || metric.meaning.empty()) << metric.name;
    EXPECT_EQ(sim::scenario::find_metric_name(metric.name), &metric);
    const sim::measure::ReadMetric read = sim::measure::find_reading(metric.name);
    ASSERT_NE(read, nullptr) << metric.name;
    EXPECT_FALSE(std::isinf(read(s))) << metric.name;
  }
  EXPECT_EQ(sim::scenario::find_metric_name("luck"), nullptr);
  EXPECT_EQ(sim::measure::find_reading("luck"), nullptr);
}
