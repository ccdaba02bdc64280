// Which seed is shown where scores are 0, where nobody counts, and where a seed is merged
// (witness.h).
#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/witness.h"
#include "tests/sim/measure/measure_rows.h"

namespace witness_scores {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::RowRecord;
using sim::measure::SeedStatus;
using sim::measure::Witness;
using sim::measure::WitnessSearch;

/// Seeds 0.16 m apart with a band each, which miss by so much.
RowRecord row_of(std::initializer_list<double> errors_m) {
  RowRecord row;
  for (const double error_m : errors_m) {
    add_seed(row, kSpacing_m * static_cast<double>(row.seeds.size()));
    add_band_at(row, row.seeds.back().rest_x_ground_m + error_m);
  }
  sim::measure::match_bands(row, rules());
  return row;
}

Witness of(const char* metric, const RowRecord& row) {
  return sim::measure::witness_of(metric, std::span(&row, 1), rules());
}

TEST(WitnessScores, AnErrorOfNothingIsStillTheLargest) {
  const RowRecord row = row_of({0.0, 0.0});
  for (const char* metric : {"placement_error_mean", "within_10mm_sensed"}) {
    EXPECT_EQ(of(metric, row).row, 0) << metric;
    EXPECT_EQ(of(metric, row).seed, 0) << metric;
  }
}

// All liquid on target: the first seed is shown, as of any equals.
TEST(WitnessScores, WithAllOnTargetTheFirstIsShown) {
  RowRecord row = row_of({0.0, 0.0});
  for (sim::measure::SeedRecord& seed : row.seeds) seed.on_target_ratio = 1.0;
  EXPECT_EQ(of("on_target_mean", row).row, 0);
  EXPECT_EQ(of("on_target_mean", row).seed, 0);
}

TEST(WitnessScores, WithoutAnyBandNobodyIsWorst) {
  RowRecord row;
  add_seed(row, 1.0);
  sim::measure::match_bands(row, rules());
  for (const char* metric : {"placement_error_mean", "dose_sd", "in_band_rate", "band_length_mean"})
    EXPECT_EQ(of(metric, row).row, -1) << metric;
}

TEST(WitnessScores, ASeedThatNobodyCouldServeIsNoMiss) {
  RowRecord row;
  add_seed(row, 1.0, false);
  sim::measure::match_bands(row, rules());
  for (const char* metric : {"within_10mm_sensed", "banded", "gap_ratio"})
    EXPECT_EQ(of(metric, row).row, -1) << metric;
}

/// Two seeds in one stretch whose start misses, and a third with a band of its own 1 mm off.
RowRecord row_with_stretch(double start_miss_m) {
  RowRecord row;
  for (const double x_m : {1.0, 1.1, 1.5}) add_seed(row, x_m);
  add_band(row, 0.96 + start_miss_m, 1.14);
  for (int seed = 0; seed < 2; ++seed) cover(row, 0, seed, 1.0);
  add_band_at(row, 1.501);
  row.shortest_closed_s = 1.0;
  sim::measure::match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merged);
  return row;
}

// A merged seed has no error of its own: within 10 mm it is good, and beyond it is a miss.
TEST(WitnessScores, AMergedSeedIsAMissBeyondTenMillimetres) {
  for (const double good_m : {0.0, 0.008})
    EXPECT_EQ(of("within_10mm_sensed", row_with_stretch(good_m)).seed, 2) << good_m;
  for (const double bad_m : {0.012, 0.030})
    EXPECT_EQ(of("within_10mm_sensed", row_with_stretch(bad_m)).seed, 0) << bad_m;
}

// Rows may come in any order; a smaller error is no witness wherever it stands, and of two equals
// the earlier one is, also of two that miss by nothing.
TEST(WitnessScores, AnEarlierSeedCountsAmongEqualsOnly) {
  const RowRecord far = row_of({0.004}), near = row_of({0.001}), good = row_of({0.0});
  WitnessSearch search("placement_error_mean", rules());
  search.take_seeds(1, far, 0, 1);
  search.take_seeds(0, near, 0, 1);
  EXPECT_EQ(search.worst().row, 1);
  WitnessSearch even("placement_error_mean", rules());
  even.take_seeds(1, good, 0, 1);
  even.take_seeds(0, good, 0, 1);
  EXPECT_EQ(even.worst().row, 0);
}

TEST(WitnessScores, TheVeryFirstStrayBandIsShownAndStays) {
  RowRecord row = row_of({0.0, 0.0, 0.0});
  row.first_seed = 100;
  row.bands[0].stray = row.bands[2].stray = true;
  row.bands[0].nearest_seed = 1;
  EXPECT_EQ(of("stray_bands", row).at_s, row.bands[0].open_s);
  EXPECT_EQ(of("stray_bands", row).seed, 101);
  WitnessSearch search("stray_bands", rules());
  search.take_bands(0, row, 0, 1);
  search.take_bands(0, row, 1, 3);
  search.take_bands(1, row, 2, 3);
  EXPECT_EQ(search.worst().row, 0);
  EXPECT_EQ(search.worst().at_s, row.bands[0].open_s);
}

// A count of which the pass has none names no instant either.
TEST(WitnessScores, NobodyHasNoInstant) { EXPECT_TRUE(std::isnan(of("weak", row_of({0.0})).at_s)); }

}  // namespace
}  // namespace witness_scores
