// Which seed a metric is worst at, on records made by hand.
#include "sim/measure/witness.h"

#include <gtest/gtest.h>

#include <vector>

namespace sim::measure {
namespace {

/// Two rows of three seeds; errors in m, not-a-number: sensed without a band.
std::vector<RowRecord> rows_with(const std::vector<std::vector<double>>& errors_m) {
  std::vector<RowRecord> rows;
  for (const std::vector<double>& row_m : errors_m) {
    RowRecord row;
    for (const double error_m : row_m) {
      SeedRecord seed;
      seed.sensed = true;
      seed.edge_s = 1.0 + 0.1 * static_cast<double>(row.seeds.size());
      if (error_m == error_m) {
        seed.status = SeedStatus::kBanded;
        seed.band = static_cast<int>(row.bands.size());
        seed.placement_error_m = error_m;
        row.bands.push_back({.start_x_ground_m = 0.0, .end_x_ground_m = 0.05, .dose_m3 = 1e-6});
      }
      row.seeds.push_back(seed);
    }
    rows.push_back(row);
  }
  return rows;
}

PlacementRules rules_of() {
  PlacementRules rules;
  rules.theoretical_spacing_m = 0.15;
  rules.band_length_m = 0.05;
  rules.commanded_dose_m3 = 1e-6;
  return rules;
}

TEST(Witness, PlacementTakesTheLargestErrorOfEitherSign) {
  const auto rows = rows_with({{0.001, -0.004, 0.002}, {0.003, -0.007, 0.0}});
  const Witness worst = witness_of("placement_error_abs_p95", rows, rules_of());
  EXPECT_EQ(worst.row, 1);
  EXPECT_EQ(worst.seed, 1);
  EXPECT_DOUBLE_EQ(worst.at_s, 1.1);
}

TEST(Witness, AShareTakesASeedWithoutABandFirst) {
  const auto rows = rows_with({{0.001, statistics::kNone_ratio, 0.002}, {0.003, -0.07, 0.0}});
  const Witness worst = witness_of("within_10mm_sensed", rows, rules_of());
  EXPECT_EQ(worst.row, 0);
  EXPECT_EQ(worst.seed, 1);
  EXPECT_EQ(witness_of("no_band", rows, rules_of()).seed, 1);
  EXPECT_EQ(witness_of("placement_error_mean", rows, rules_of()).seed, 1);
  EXPECT_EQ(witness_of("placement_error_mean", rows, rules_of()).row, 1);
}

TEST(Witness, DoseTakesTheFurthestFromTheCommandedAndCountsTheFirst) {
  auto rows = rows_with({{0.0, 0.0, 0.0}});
  rows[0].bands[2].dose_m3 = 0.4e-6;
  rows[0].bands[1].dose_m3 = 1.2e-6;
  EXPECT_EQ(witness_of("dose_sd", rows, rules_of()).seed, 2);
  rows[0].seeds[1].status = SeedStatus::kWeak;
  EXPECT_EQ(witness_of("weak", rows, rules_of()).seed, 1);
}

TEST(Witness, WhatIsNotOfSeedsHasNone) {
  const auto rows = rows_with({{0.0}});
  EXPECT_EQ(witness_of("jet_speed", rows, rules_of()).row, -1);
  EXPECT_EQ(witness_of("jet_speed", rows, rules_of()).seed, -1);
  EXPECT_EQ(witness_at(0, 0.5, rows).seed, -1);
  EXPECT_EQ(witness_at(0, 1.05, rows).seed, 0);
}

}  // namespace
}  // namespace sim::measure
