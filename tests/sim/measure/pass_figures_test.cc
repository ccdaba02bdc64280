// Figures of a pass that need more than one row, seeds out of order or doses off the commanded one:
// by hand for the whole, and the same for rows that come in stretches (summary_parts.h).
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "sim/measure/summary_parts.h"
#include "tests/sim/measure/measure_rows.h"

namespace pass_figures {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::Figures;
using sim::measure::RowRecord;
using sim::measure::Summary;
using sim::measure::SummaryInParts;
using sim::scenario::Scenario;

Scenario given() {
  Scenario scenario;
  scenario.row.width_m = 0.75;
  scenario.seeding.meter.spacing_m = kSpacing_m;
  scenario.rate.band_length_m = kBand_m;
  scenario.rate.in_band_m3pm2 = kDose_m3 / (0.75 * kBand_m);
  return scenario;
}

/// Each row as one stretch.
SummaryInParts taken(const std::vector<RowRecord>& rows, const Scenario& scenario) {
  SummaryInParts parts(scenario, rows.size());
  for (std::size_t k = 0; k < rows.size(); ++k) {
    RowRecord row = rows[k];
    sim::measure::match_bands(row, sim::measure::placement_rules_of(scenario));
    sim::measure::StretchOfRow stretch;
    stretch.row = static_cast<int>(k);
    stretch.last_seed = row.seeds.size();
    stretch.last_band = row.bands.size();
    stretch.from_x_m = -std::numeric_limits<double>::infinity();
    stretch.to_x_m = std::numeric_limits<double>::infinity();
    parts.take(row, stretch);
  }
  return parts;
}

/// The whole, and the same in parts.
std::vector<Summary> both(std::vector<RowRecord> rows, const Scenario& scenario = given()) {
  const Summary parts = taken(rows, scenario).finish(rows, 12.5);
  return {sim::measure::summarize(rows, scenario, 12.5), parts};
}

TEST(PassFigures, TheRulesAreTheScenarios) {
  Scenario scenario = given();
  scenario.sensor.sensor.jitter_s = 0.3e-3;
  const sim::measure::PlacementRules rules = sim::measure::placement_rules_of(scenario);
  EXPECT_EQ(rules.theoretical_spacing_m, kSpacing_m);
  EXPECT_EQ(rules.band_length_m, kBand_m);
  EXPECT_NEAR(rules.commanded_dose_m3, kDose_m3, 1e-20);
  EXPECT_EQ(rules.edge_jitter_s, 0.3e-3);
}

/// A seed of each status: banded, weak, two merged, shared, missed by the sensor, without a band.
RowRecord row_of_every_status() {
  RowRecord row;
  for (const double x_m : {1.0, 2.0, 3.0, 3.1, 6.0}) add_seed(row, x_m);
  add_seed(row, 1.01, false);
  add_seed(row, 5.0, false);
  add_band_at(row, 1.0);
  add_band_at(row, 2.0).dose_m3 = 0.4 * kDose_m3;
  add_band(row, 2.96, 3.14);
  return row;
}

TEST(PassFigures, EveryStatusAddsUpOverRows) {
  for (const Summary& summary : both({row_of_every_status(), row_of_every_status()})) {
    EXPECT_EQ(summary.all.seeds.placed, 14);
    EXPECT_EQ(summary.all.seeds.sensed, 10);
    EXPECT_EQ(summary.all.seeds.banded, 2);
    EXPECT_EQ(summary.all.seeds.weak, 2);
    EXPECT_EQ(summary.all.seeds.merged, 4);
    EXPECT_EQ(summary.all.seeds.shared, 2);
    EXPECT_EQ(summary.all.seeds.edge_missed, 2);
    EXPECT_EQ(summary.all.seeds.no_band, 2);
    EXPECT_EQ(summary.simulated_s, 12.5);
  }
  EXPECT_EQ(taken({row_of_every_status(), row_of_every_status()}, given()).seeds(), 14);
}

// Released out of order: in order of place they are 160, 160 and 320 mm apart.
TEST(PassFigures, SpacingsAreThoseOfPlacesInOrder) {
  RowRecord row;
  for (const double x_m : {1.16, 1.0, 1.64, 1.32}) add_seed(row, x_m);
  for (const Summary& summary : both({row})) {
    EXPECT_EQ(summary.spacing.spacings, 3);
    EXPECT_EQ(summary.spacing.classes[1], 2);
    EXPECT_EQ(summary.spacing.classes[2], 1);
    EXPECT_NEAR(summary.spacing.mean_m, 0.64 / 3.0, 1e-12);
  }
}

// Two of four doses lie within 10 % of the commanded one.
TEST(PassFigures, ADoseIsGoodWithinATenthToEitherSide) {
  RowRecord row;
  const double share_ratio[] = {0.88, 0.92, 1.08, 1.12};
  for (int k = 0; k < 4; ++k) {
    add_seed(row, kSpacing_m * k);
    add_band_at(row, kSpacing_m * k).dose_m3 = kDose_m3 * share_ratio[k];
  }
  for (const Summary& summary : both({row}))
    EXPECT_EQ(summary.all.dose_within_10_percent_sensed_ratio, 0.5);
}

// A tenth of 10/2^30 m3 is 1/2^30 m3 to the last bit.
TEST(PassFigures, ADoseOffByATenthItselfIsGood) {
  Scenario scenario = given();
  scenario.row.width_m = 1.0;
  scenario.rate.band_length_m = 0.125;
  scenario.rate.in_band_m3pm2 = 80.0 * 0x1p-30;
  for (const double dose_m3 : {9.0 * 0x1p-30, 11.0 * 0x1p-30}) {
    RowRecord row;
    add_seed(row, 1.0);
    add_band(row, 0.9375, 1.0625).dose_m3 = dose_m3;
    for (const Summary& summary : both({row}, scenario))
      EXPECT_EQ(summary.all.dose_within_10_percent_sensed_ratio, 1.0) << dose_m3;
  }
}

// The tolerance over the two-sided 95 % point of the normal distribution, 10 mm / 1.959964.
TEST(PassFigures, TheFirstSeedOfARowEntersTheBreakEven) {
  RowRecord row;
  add_seed(row, 1.0);
  add_band_at(row, 1.0);
  const std::vector<Summary> summaries = both({row});
  EXPECT_NEAR(summaries[0].break_even_scatter_m, 0.010 / 1.959964, 2e-8);
  EXPECT_NEAR(summaries[1].break_even_scatter_m, 0.010 / 1.959964, 10e-6) << "to a cell";
}

/// 50 seeds, of which so many have a band 5 mm off, the next ten one 20 mm off, the next ten one
/// 35 mm off.
RowRecord row_of_shares(int near) {
  RowRecord row;
  for (int k = 0; k < 50; ++k) add_seed(row, kSpacing_m * k);
  for (int k = 0; k < near + 20; ++k)
    add_band_at(row, kSpacing_m * k + (k < near ? 0.005 : k < near + 10 ? 0.020 : 0.035));
  return row;
}

// Student's t (2.920 for two degrees of freedom) over the shares of three rows: near/50, near/50 +
// 0.2 and near/50 + 0.4, all three with the same deviation.
TEST(PassFigures, TheBoundTakesRowsAsClustersAtEveryTolerance) {
  const std::vector<Summary> summaries =
      both({row_of_shares(30), row_of_shares(20), row_of_shares(10)});
  for (const Summary& summary : summaries)
    for (int k = 0; k < 3; ++k)
      EXPECT_NEAR(summary.all.within[k].lower95_ratio, 0.4 + 0.2 * k - 2.920 * 0.2 / std::sqrt(3.0),
                  1e-3)
          << k;
}

TEST(PassFigures, VolumesOfARowAreItsOwn) {
  RowRecord first, second;
  first.applied_volume_m3 = 1e-6;
  second.applied_volume_m3 = 2e-6;
  for (const Summary& summary : both({first, second})) {
    EXPECT_EQ(summary.rows[0].applied_volume_m3, 1e-6);
    EXPECT_EQ(summary.rows[1].applied_volume_m3, 2e-6);
    EXPECT_DOUBLE_EQ(summary.all.applied_volume_m3, 3e-6);
  }
}

// A band of 12 m for one seed: in parts its length is known to 10 m for quantiles, its mean and
// its largest value exactly (running.h).
TEST(PassFigures, InPartsLengthsBeyondTenMetresCountAsTen) {
  RowRecord row;
  add_seed(row, 1.0);
  add_band(row, 0.96, 12.96).centre_x_ground_m = 1.0;
  const std::vector<Summary> summaries = both({row});
  EXPECT_NEAR(summaries[0].all.band_length.p50_m, 12.0, 1e-9);
  EXPECT_NEAR(summaries[1].all.band_length.p50_m, 10.0, 5.001e-6);
  EXPECT_NEAR(summaries[1].all.band_length.mean_m, 12.0, 1e-9);
  EXPECT_NEAR(summaries[1].all.band_length.max_abs_m, 12.0, 1e-9);
}

// A summary of no pass, as a cell of a sweep has it that nothing could serve.
TEST(PassFigures, WhatWasNotRunHasNoFigures) {
  const Summary none;
  for (const sim::measure::WithinTolerance& within : none.all.within) {
    EXPECT_EQ(within.tolerance_m, 0.0);
    for (const double share_ratio :
         {within.placed_ratio, within.sensed_ratio, within.lower95_ratio})
      EXPECT_TRUE(std::isnan(share_ratio));
  }
  for (const double figure :
       {none.all.dose_within_10_percent_sensed_ratio, none.all.length_within_10mm_sensed_ratio,
        none.all.dose_mean_m3, none.all.dose_sd_m3, none.all.gap_ratio, none.all.in_band_rate_m3pm2,
        none.all.field_rate_m3pm2, none.break_even_scatter_m})
    EXPECT_TRUE(std::isnan(figure));
  EXPECT_EQ(none.all.own_bands_sensed, 0);
  EXPECT_EQ(none.simulated_s, 0.0);
  EXPECT_EQ(none.verdict, sim::measure::Verdict::kNone);
}

}  // namespace
}  // namespace pass_figures
