// Matching where two places are the same, where a place is missing, and where a distance is exactly
// the one allowed. Distances that have to be exact are sums of powers of two.
#include <gtest/gtest.h>

#include <cmath>
#include <initializer_list>

#include "sim/measure/placement.h"
#include "tests/sim/measure/measure_rows.h"

namespace placement_ties {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::match_bands;
using sim::measure::PlacementRules;
using sim::measure::RowRecord;
using sim::measure::SeedRecord;
using sim::measure::SeedStatus;
using sim::measure::within_tolerance;

/// Bands of 1/8 m at a spacing of 1/4 m, so that half a spacing is 1/8 m.
PlacementRules eighths() {
  PlacementRules halves = rules();
  halves.band_length_m = 0.125;
  halves.theoretical_spacing_m = 0.25;
  return halves;
}

RowRecord matched(std::initializer_list<double> seeds_m, std::initializer_list<double> centres_m) {
  RowRecord row;
  for (const double x_m : seeds_m) add_seed(row, x_m);
  for (const double x_m : centres_m) add_band(row, x_m - 0.0625, x_m + 0.0625);
  match_bands(row, eighths());
  return row;
}

// From the band at 1.125 the seed lies half a spacing behind, and from the seed the band as far
// ahead; then the other way round.
TEST(PlacementTies, HalfASpacingIsStillWithinReach) {
  EXPECT_EQ(matched({1.0}, {1.125}).seeds[0].band, 0);
  EXPECT_EQ(matched({1.125}, {1.0}).seeds[0].band, 0);
}

TEST(PlacementTies, OfTwoAsNearTheOneFurtherBehindIsTaken) {
  const RowRecord seeds = matched({1.0, 1.25}, {1.125});
  EXPECT_EQ(seeds.seeds[0].band, 0);
  EXPECT_EQ(seeds.seeds[1].band, -1);
  const RowRecord bands = matched({1.125}, {1.0, 1.25});
  EXPECT_EQ(bands.seeds[0].band, 0);
  EXPECT_TRUE(bands.bands[1].stray);
}

TEST(PlacementTies, OfTwoSeedsAtOnePlaceTheFirstReleasedHasTheBand) {
  const RowRecord two = matched({1.0, 1.0}, {1.0});
  EXPECT_EQ(two.seeds[0].status, SeedStatus::kBanded);
  EXPECT_EQ(two.seeds[1].status, SeedStatus::kShared);
  RowRecord many;  // enough of them for a sort that is not stable to mix them up
  for (int round = 0; round < 2; ++round)
    for (int k = 0; k < 40; ++k) add_seed(many, 0.25 * k);
  for (int k = 0; k < 40; ++k) add_band(many, 0.25 * k - 0.0625, 0.25 * k + 0.0625);
  match_bands(many, eighths());
  for (std::size_t k = 0; k < 40; ++k) {
    EXPECT_EQ(many.seeds[k].status, SeedStatus::kBanded) << k;
    EXPECT_EQ(many.seeds[k + 40].status, SeedStatus::kShared) << k;
  }
}

// A seed of which no place of rest is known has no band, and the others have theirs.
TEST(PlacementTies, SeedsWithoutAPlaceDisturbNoOrder) {
  RowRecord row;
  for (int k = 0; k < 64; ++k) {
    add_seed(row, kSpacing_m * (k * 37 % 64));
    if (k % 3 == 0) add_seed(row, std::nan(""));
  }
  for (int k = 0; k < 64; ++k) add_band_at(row, kSpacing_m * (k * 29 % 64));
  match_bands(row, rules());
  for (const SeedRecord& seed : row.seeds) {
    const bool placed = std::isfinite(seed.rest_x_ground_m);
    EXPECT_EQ(seed.status, placed ? SeedStatus::kBanded : SeedStatus::kNoBand);
    if (placed) {
      EXPECT_NEAR(seed.placement_error_m, 0.0, 1e-12);
    }
  }
}

// The end of the stretch would serve a seed at 1.0. One that was not sensed lies exactly half a
// spacing ahead of it; then one lies nearer, and the sensed seed behind is out of reach.
TEST(PlacementTies, AnUnsensedSeedAheadOfAnEndIsNoneWhateverLiesBehind) {
  for (const double unsensed_m : {1.125, 1.0625}) {
    RowRecord row;
    for (const double x_m : {0.0, 0.25}) add_seed(row, x_m);
    add_seed(row, unsensed_m, false);
    add_band(row, -0.0625, 1.0625);
    match_bands(row, eighths());
    EXPECT_FALSE(row.bands[0].merged) << unsensed_m;
  }
}

TEST(PlacementTies, HalfTheDoseIsNotWeak) {
  RowRecord row;
  add_seed(row, 1.0);
  add_band_at(row, 1.0).dose_m3 = 0.5 * kDose_m3;
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].status, SeedStatus::kBanded);
}

// The band of the last seed is long and begins far behind the other's: whoever lies in it shares.
TEST(PlacementTies, ASeedSharesABandThatBeginsBehindItWhereverItsCentreIs) {
  RowRecord row;
  add_seed(row, 0.05, false);
  for (const double x_m : {0.14, 0.16}) add_seed(row, x_m);
  add_band(row, 0.10, 0.18);
  add_band(row, -0.02, 0.34);
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[1].band, 0);
  EXPECT_EQ(row.seeds[2].band, 1);
  EXPECT_EQ(row.seeds[0].status, SeedStatus::kShared);
}

TEST(PlacementTies, EveryDoubleOfARowIsShared) {
  RowRecord row;
  for (const double x_m : {1.0, 2.0, 3.0}) {
    add_seed(row, x_m);
    add_seed(row, x_m + 0.012, false);
    add_band_at(row, x_m);
  }
  match_bands(row, rules());
  for (const std::size_t twin : {1u, 3u, 5u})
    EXPECT_EQ(row.seeds[twin].status, SeedStatus::kShared) << twin;
}

TEST(PlacementTies, AnErrorOfTheToleranceItselfIsWithinIt) {
  const RowRecord row = matched({1.0}, {1.03125});
  EXPECT_TRUE(within_tolerance(row, 0, 0.03125, eighths()));
  EXPECT_FALSE(within_tolerance(row, 0, 0.03, eighths()));
}

TEST(PlacementTies, ASeedOfARowWithoutBandsIsWithinNoTolerance) {
  RowRecord row;
  add_seed(row, 1.0);
  match_bands(row, rules());
  EXPECT_FALSE(within_tolerance(row, 0, 1.0, rules()));
}

// Two seeds 1/8 m apart, whose bands touch, in one stretch; wanted from 0.9375 to 1.1875.
RowRecord stretch(double start_miss_m, double end_miss_m, double covered_ratio) {
  RowRecord row;
  for (const double x_m : {1.0, 1.125}) add_seed(row, x_m);
  add_band(row, 0.9375 + start_miss_m, 1.1875 + end_miss_m);
  for (int seed = 0; seed < 2; ++seed) cover(row, 0, seed, covered_ratio);
  match_bands(row, eighths());
  EXPECT_TRUE(row.bands[0].merged);
  return row;
}

TEST(PlacementTies, EndsOfAStretchMayMissByTheToleranceItself) {
  const auto good = [](double start_miss_m, double end_miss_m) {
    return within_tolerance(stretch(start_miss_m, end_miss_m, 1.0), 0, 0.03125, eighths());
  };
  EXPECT_TRUE(good(0.03125, 0.0));
  EXPECT_TRUE(good(0.0, -0.03125));
  EXPECT_FALSE(good(-0.0625, 0.0));
  EXPECT_FALSE(good(0.0, 0.0625)) << "the end counts as much as the start";
}

TEST(PlacementTies, AMergedSeedNeedsTheFloorOfItsStretchAndNoMore) {
  const double floor_ratio = eighths().covered_floor_ratio;
  EXPECT_TRUE(within_tolerance(stretch(0.0, 0.0, floor_ratio), 0, 0.01, eighths()));
  EXPECT_FALSE(within_tolerance(stretch(0.0, 0.0, floor_ratio - 1e-6), 0, 0.01, eighths()));
}

}  // namespace
}  // namespace placement_ties
