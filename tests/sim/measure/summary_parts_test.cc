// A row taken in stretches has the figures of the row taken whole (summary.h).
#include "sim/measure/summary_parts.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "tests/sim/measure/measure_rows.h"

namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::Figures;
using sim::measure::RowRecord;
using sim::measure::Summary;

sim::scenario::Scenario given_scenario() {
  sim::scenario::Scenario scenario;
  scenario.row.width_m = 0.75;
  scenario.seeding.meter.spacing_m = kSpacing_m;
  scenario.rate.band_length_m = kBand_m;
  scenario.rate.in_band_m3pm2 = kDose_m3 / (0.75 * kBand_m);
  scenario.sensor.sensor.jitter_s = 0.0;
  for (const char* metric : {"within_10mm_sensed", "stray_bands", "no_band", "dose_sd"})
    scenario.requirements.push_back(
        {.metric = metric, .sense = sim::scenario::BoundSense::kAtMost, .bound = 0.01});
  return scenario;
}

/// 400 seeds with bands that scatter by +-12 mm; some have none, some bands are stray or merged.
RowRecord given_row(double shift_m) {
  RowRecord row;
  int k = 0;
  for (const double x_m : irregular_places_m(400)) add_seed(row, x_m, ++k % 37 != 0);
  for (std::size_t seed = 0; seed < row.seeds.size(); ++seed) {
    const double x_m = row.seeds[seed].rest_x_ground_m;
    const double off_m = 0.024 * (std::fmod(static_cast<double>(seed) * 0.7548776662, 1.0) - 0.5);
    if (seed % 23 == 5) continue;
    if (seed % 41 == 7 && seed + 1 < row.seeds.size()) {
      add_band(row, x_m - 0.5 * kBand_m, row.seeds[++seed].rest_x_ground_m + 0.5 * kBand_m);
      continue;
    }
    add_band_at(row, x_m + off_m + shift_m).dose_m3 *= 1.0 + 5.0 * off_m;
    if (seed % 29 == 3) add_band(row, x_m, x_m + 0.001).centre_x_ground_m = NAN;
  }
  row.applied_volume_m3 = 1e-4;
  row.travelled_m = 60.0;
  return row;
}

Summary in_parts(const std::vector<RowRecord>& rows, const std::vector<double>& cuts_m) {
  sim::measure::SummaryInParts parts(given_scenario(), rows.size());
  for (std::size_t index = 0; index < rows.size(); ++index) {
    RowRecord row = rows[index];
    sim::measure::match_bands(row, rules());
    sim::measure::StretchOfRow stretch{.row = static_cast<int>(index)};
    stretch.from_x_m = -std::numeric_limits<double>::infinity();
    for (const double cut_m : cuts_m) {
      stretch.to_x_m = cut_m;
      while (stretch.last_seed < row.seeds.size() &&
             row.seeds[stretch.last_seed].rest_x_ground_m < cut_m)
        ++stretch.last_seed;
      while (stretch.last_band < row.bands.size() &&
             !(row.bands[stretch.last_band].centre_x_ground_m >= cut_m))
        ++stretch.last_band;
      parts.take(row, stretch);
      stretch.first_seed = stretch.last_seed;
      stretch.first_band = stretch.last_band;
      stretch.from_x_m = cut_m;
    }
  }
  return parts.finish(rows, 12.5);
}

void expect_same(const Figures& whole, const Figures& parts) {
  EXPECT_EQ(whole.seeds.placed, parts.seeds.placed);
  EXPECT_EQ(whole.seeds.sensed, parts.seeds.sensed);
  EXPECT_EQ(whole.seeds.banded, parts.seeds.banded);
  EXPECT_EQ(whole.seeds.merged, parts.seeds.merged);
  EXPECT_EQ(whole.seeds.no_band, parts.seeds.no_band);
  EXPECT_EQ(whole.stray_bands, parts.stray_bands);
  EXPECT_EQ(whole.lag_seeds, parts.lag_seeds);
  for (int k = 0; k < 3; ++k) {
    EXPECT_DOUBLE_EQ(whole.within[k].placed_ratio, parts.within[k].placed_ratio);
    EXPECT_DOUBLE_EQ(whole.within[k].sensed_ratio, parts.within[k].sensed_ratio);
    EXPECT_DOUBLE_EQ(whole.within[k].lower95_ratio, parts.within[k].lower95_ratio);
  }
  EXPECT_NEAR(whole.placement_error.mean_m, parts.placement_error.mean_m, 1e-12);
  EXPECT_NEAR(whole.placement_error.sd_m, parts.placement_error.sd_m, 1e-12);
  EXPECT_DOUBLE_EQ(whole.placement_error.max_abs_m, parts.placement_error.max_abs_m);
  for (const auto member : {&sim::statistics::Spread::p05_m, &sim::statistics::Spread::p50_m,
                            &sim::statistics::Spread::p95_m, &sim::statistics::Spread::abs_p95_m}) {
    EXPECT_NEAR(whole.placement_error.*member, parts.placement_error.*member, 5.001e-6);
    EXPECT_NEAR(whole.band_length.*member, parts.band_length.*member, 5.001e-6);
  }
  EXPECT_NEAR(whole.dose_mean_m3, parts.dose_mean_m3, 1e-12 * kDose_m3);
  EXPECT_NEAR(whole.dose_sd_m3, parts.dose_sd_m3, 1e-9 * kDose_m3);
  EXPECT_DOUBLE_EQ(whole.dose_within_10_percent_sensed_ratio,
                   parts.dose_within_10_percent_sensed_ratio);
  EXPECT_DOUBLE_EQ(whole.gap_ratio, parts.gap_ratio);
  EXPECT_DOUBLE_EQ(whole.field_rate_m3pm2, parts.field_rate_m3pm2);
}

TEST(SummaryParts, FiguresAreThoseOfTheWholeRow) {
  std::vector<RowRecord> rows{given_row(0.0), given_row(0.004)};
  const Summary parts = in_parts(rows, {7.0, 7.1, 30.0, std::numeric_limits<double>::infinity()});
  const Summary whole = sim::measure::summarize(rows, given_scenario(), 12.5);
  expect_same(whole.all, parts.all);
  ASSERT_EQ(whole.rows.size(), parts.rows.size());
  for (std::size_t row = 0; row < rows.size(); ++row) expect_same(whole.rows[row], parts.rows[row]);
  EXPECT_GT(whole.all.seeds.merged, 10);
  EXPECT_GT(whole.all.stray_bands, 10);
  EXPECT_EQ(whole.spacing.spacings, parts.spacing.spacings);
  EXPECT_NEAR(whole.spacing.sd_m, parts.spacing.sd_m, 1e-12);
  EXPECT_NEAR(whole.spacing.iso.precision_ratio, parts.spacing.iso.precision_ratio, 1e-10);
  EXPECT_NEAR(whole.break_even_scatter_m, parts.break_even_scatter_m, 10e-6);
  EXPECT_EQ(whole.verdict, parts.verdict);
  ASSERT_EQ(whole.requirements.size(), parts.requirements.size());
  for (std::size_t k = 0; k < whole.requirements.size(); ++k) {
    EXPECT_EQ(whole.requirements[k].worst.row, parts.requirements[k].worst.row);
    EXPECT_EQ(whole.requirements[k].worst.seed, parts.requirements[k].worst.seed);
    EXPECT_EQ(whole.requirements[k].holds, parts.requirements[k].holds);
  }
}

// Bands that lie at the seed behind: the lag shows in stretches too.
TEST(SummaryParts, AWrongSeedIsFound) {
  RowRecord row;
  for (const double x_m : irregular_places_m(120)) add_seed(row, x_m);
  for (std::size_t seed = 1; seed < row.seeds.size(); ++seed)
    add_band_at(row, row.seeds[seed].rest_x_ground_m +
                         0.3 * (row.seeds[seed - 1].rest_x_ground_m -
                                row.seeds[seed].rest_x_ground_m + kSpacing_m));
  std::vector<RowRecord> rows{row};
  const Summary parts = in_parts(rows, {5.0, 11.0, std::numeric_limits<double>::infinity()});
  const Summary whole = sim::measure::summarize(rows, given_scenario(), 12.5);
  EXPECT_EQ(whole.all.lag_seeds, parts.all.lag_seeds);
}

}  // namespace
