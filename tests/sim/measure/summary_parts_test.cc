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
      const double next_x_m = row.seeds[seed + 1].rest_x_ground_m;
      add_band(row, x_m - 0.5 * kBand_m - 0.003, next_x_m + 0.5 * kBand_m + 0.005);
      for (int both = 0; both < 2; ++both)
        cover(row, static_cast<int>(row.bands.size()) - 1, static_cast<int>(seed) + both, 1.0);
      ++seed;
      continue;
    }
    sim::measure::BandRecord& band = add_band_at(row, x_m + off_m + shift_m);
    band.dose_m3 *= 1.0 + 5.0 * off_m;
    band.end_x_ground_m += 1.2 * off_m;
    band.secondary_ratio = 0.1 + off_m;
    band.on_target_ratio = 0.9 + 3.0 * off_m;
    if (seed % 7 != 0) band.nearest_seed = static_cast<int>(seed);
    if (seed % 29 == 3) add_band(row, x_m, x_m + 0.001).centre_x_ground_m = NAN;
  }
  row.applied_volume_m3 = 1e-4;
  row.worked_volume_m3 = 0.9e-4;
  row.outside_volume_m3 = 1e-5;
  row.outward_sum_m4 = 2e-7;
  row.outward_max_m = 4e-3;
  row.inlet_volume_m3 = 1.1e-4;
  row.balance_residual_m3 = 1e-12;
  row.jet_speed_sum_mps = 12.0 * 1e-4;
  row.travelled_m = 60.0;
  row.shortest_closed_s = 1.0;
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
  EXPECT_DOUBLE_EQ(whole.length_within_10mm_sensed_ratio, parts.length_within_10mm_sensed_ratio);
  EXPECT_EQ(whole.own_bands_sensed, parts.own_bands_sensed);
  EXPECT_NEAR(whole.on_target_mean_ratio, parts.on_target_mean_ratio, 1e-12);
  EXPECT_NEAR(whole.on_target_p05_ratio, parts.on_target_p05_ratio, 5.001e-5);
  EXPECT_NEAR(whole.secondary_mean_ratio, parts.secondary_mean_ratio, 1e-12);
  EXPECT_NEAR(whole.band_length.mean_m, parts.band_length.mean_m, 1e-12);
  EXPECT_NEAR(whole.in_band_rate_m3pm2 / parts.in_band_rate_m3pm2, 1.0, 1e-12);
  EXPECT_DOUBLE_EQ(whole.outward_mean_m, parts.outward_mean_m);
  EXPECT_EQ(whole.outward_max_m, parts.outward_max_m);
  EXPECT_EQ(whole.balance_residual_ratio, parts.balance_residual_ratio);
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
  EXPECT_GT(whole.all.length_within_10mm_sensed_ratio, 0.5);
  EXPECT_LT(whole.all.length_within_10mm_sensed_ratio, 0.95);
  EXPECT_GT(whole.all.on_target_mean_ratio, whole.all.on_target_p05_ratio + 0.01);
  EXPECT_NEAR(parts.jet.speed_mps, 12.0, 1e-12);
  EXPECT_EQ(whole.jet.splash_ratio, parts.jet.splash_ratio);
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

// A seed at the very cut begins a spacing of the second stretch, and of that one alone.
TEST(SummaryParts, ASpacingThatBeginsAtTheCutCountsOnce) {
  std::vector<RowRecord> rows{given_row(0.0)};
  const double cut_m = rows[0].seeds[100].rest_x_ground_m;
  const Summary parts = in_parts(rows, {cut_m, std::numeric_limits<double>::infinity()});
  EXPECT_EQ(parts.spacing.spacings, 399);
}

/// Every band lies at the seed `lag` places further on than that it was fired for.
RowRecord row_of_lag(int lag, int seeds) {
  RowRecord row;
  for (const double x_m : irregular_places_m(seeds)) add_seed(row, x_m);
  for (const sim::measure::SeedRecord& seed : row.seeds)
    add_band_at(row, seed.rest_x_ground_m - kSpacing_m * lag);
  row.shortest_closed_s = 1.0;
  return row;
}

// Of several rows the lag furthest from 0 is shown, of two as far the first one's.
TEST(SummaryParts, AWrongSeedIsFound) {
  const auto lag_of = [](std::vector<int> lags) {
    std::vector<RowRecord> rows;
    for (const int lag : lags) rows.push_back(row_of_lag(lag, 120));
    const Summary parts = in_parts(rows, {5.0, 11.0, std::numeric_limits<double>::infinity()});
    const Summary whole = sim::measure::summarize(rows, given_scenario(), 12.5);
    EXPECT_EQ(whole.all.lag_seeds, parts.all.lag_seeds);
    for (std::size_t row = 0; row < lags.size(); ++row)
      EXPECT_EQ(parts.rows[row].lag_seeds, lags[row]);
    EXPECT_EQ(parts.verdict, sim::measure::Verdict::kWrongSeed);
    return parts.all.lag_seeds;
  };
  EXPECT_EQ(lag_of({0, -1}), -1);
  EXPECT_EQ(lag_of({-1, 0}), -1);
  EXPECT_EQ(lag_of({1, -2}), -2);
  EXPECT_EQ(lag_of({-2, 1}), -2);
  EXPECT_EQ(lag_of({1, -1}), 1);
  EXPECT_EQ(lag_of({-1, 1}), -1);
}

// Errors of +-4 mm, mergers that miss by 5 mm and unsensed seeds without a band: something is left
// to the break-even, and whatever nobody could serve takes nothing of it.
TEST(SummaryParts, BreakEvenIsThatOfTheWholeRow) {
  const auto rows_with = [](int unsensed) {
    RowRecord row;
    for (int k = 0; k < 200; ++k) {
      add_seed(row, kSpacing_m * k);
      if (k % 50 == 11) {
        add_seed(row, kSpacing_m * ++k);
        add_band(row, kSpacing_m * (k - 1) - 0.5 * kBand_m - 0.002,
                 kSpacing_m * k + 0.5 * kBand_m + 0.005);
        for (int both = 0; both < 2; ++both)
          cover(row, static_cast<int>(row.bands.size()) - 1, k - both, 1.0);
      } else {
        add_band_at(row, kSpacing_m * k + 0.004 * (k % 9 - 4) / 4.0);
      }
    }
    for (int k = 0; k < unsensed; ++k) add_seed(row, 100.0 + kSpacing_m * k, false);
    row.shortest_closed_s = 1.0;
    return std::vector<RowRecord>{row};
  };
  std::vector<RowRecord> rows = rows_with(40);
  const Summary parts = in_parts(rows, {7.0, std::numeric_limits<double>::infinity()});
  const Summary whole = sim::measure::summarize(rows, given_scenario(), 12.5);
  EXPECT_EQ(whole.all.seeds.merged, 8);
  EXPECT_GT(whole.break_even_scatter_m, 1e-3);
  EXPECT_NEAR(whole.break_even_scatter_m, parts.break_even_scatter_m, 10e-6);
  std::vector<RowRecord> sensed = rows_with(0);
  EXPECT_EQ(whole.break_even_scatter_m,
            sim::measure::summarize(sensed, given_scenario(), 12.5).break_even_scatter_m);
}

}  // namespace
