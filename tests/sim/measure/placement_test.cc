#include "sim/measure/placement.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/sim/measure/measure_rows.h"

namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::match_bands;
using sim::measure::RowRecord;
using sim::measure::SeedStatus;
using sim::measure::within_tolerance;

SeedStatus status(const RowRecord& row, int seed) {
  return row.seeds[static_cast<std::size_t>(seed)].status;
}
double error_mm(const RowRecord& row, int seed) {
  return row.seeds[static_cast<std::size_t>(seed)].placement_error_m * 1e3;
}

// Two seeds 100 mm apart in one stretch of 180 mm: the gap of 20 mm is 5 ms at 4 m/s.
RowRecord merged_row(double start_miss_m, double end_miss_m) {
  RowRecord row;
  add_seed(row, 1.0);
  add_seed(row, 1.1);
  add_band(row, 0.96 + start_miss_m, 1.14 + end_miss_m);
  cover(row, 0, 0, 1.0);
  cover(row, 0, 1, 1.0);
  row.shortest_closed_s = 6e-3;
  return row;
}

}  // namespace

TEST(Matching, EachSeedHasItsBandAndAnErrorPositiveAhead) {
  RowRecord row;
  for (double x_m : {1.00, 1.16, 1.32}) add_seed(row, x_m);
  for (double x_m : {1.004, 1.16, 1.313}) add_band_at(row, x_m);
  match_bands(row, rules());
  EXPECT_EQ(status(row, 0), SeedStatus::kBanded);
  EXPECT_NEAR(error_mm(row, 0), 4.0, 1e-9);
  EXPECT_NEAR(error_mm(row, 1), 0.0, 1e-9);
  EXPECT_NEAR(error_mm(row, 2), -7.0, 1e-9);
  EXPECT_FALSE(row.bands[0].stray || row.bands[0].merged);
}

TEST(Matching, ReachesHalfTheTheoreticalSpacingAndNoFurther) {
  RowRecord row;
  add_seed(row, 1.0);
  add_band_at(row, 1.0799);
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].band, 0);
  row.bands[0].centre_x_ground_m = 1.0801;
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].band, -1);
  EXPECT_TRUE(row.bands[0].stray);
}

TEST(Matching, OfTwoSeedsTheNearerKeepsTheBand) {
  RowRecord row;  // 60 mm apart, one band at 20 mm from the second
  add_seed(row, 1.00);
  add_seed(row, 1.06);
  add_band_at(row, 1.04);
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[1].band, 0);
  EXPECT_EQ(status(row, 0), SeedStatus::kShared);  // 1.00 lies within 1.00..1.08
}

TEST(Matching, OfTwoBandsTheNearerKeepsTheSeed) {
  RowRecord row;
  add_seed(row, 1.0);
  add_band_at(row, 0.95);
  add_band_at(row, 1.01);
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].band, 1);
  EXPECT_TRUE(row.bands[0].stray);
}

// The second band's nearest seed prefers the first band. There is only one round, so the second
// band stays unmatched and the far seed without a band.
TEST(Matching, IsMutualAndOneRound) {
  RowRecord row;
  add_seed(row, 1.000);
  add_seed(row, 1.090);
  add_band_at(row, 1.005);  // nearest to seed 0
  add_band_at(row, 1.040);  // nearest to seed 0 as well; seed 1's nearest band, 50 mm off
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].band, 0);
  EXPECT_TRUE(row.bands[1].stray);
  EXPECT_EQ(status(row, 1), SeedStatus::kNoBand);  // lies beyond 1.08, the stray band's end
}

TEST(Matching, GoesByPlaceNotByOrderOfRelease) {
  RowRecord row;  // the second seed overtook the first in its fall
  add_seed(row, 1.10);
  add_seed(row, 1.00);
  add_band_at(row, 1.00);
  add_band_at(row, 1.10);
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].band, 1);
  EXPECT_EQ(row.seeds[1].band, 0);
}

TEST(Status, ASeedWithoutABandWasEitherSensedOrNot) {
  RowRecord row;
  add_seed(row, 1.0);
  add_seed(row, 2.0, false);
  match_bands(row, rules());
  EXPECT_EQ(status(row, 0), SeedStatus::kNoBand);
  EXPECT_EQ(status(row, 1), SeedStatus::kEdgeMissed);
}

TEST(Status, LyingWithinABandOfNobodyIsNoService) {
  RowRecord row;
  add_seed(row, 1.000);
  add_seed(row, 1.095);
  add_band_at(row, 1.005);
  add_band(row, 0.99, 1.10);  // nearest to seed 0, which prefers the other: stray
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[1].stray);
  EXPECT_EQ(status(row, 1), SeedStatus::kNoBand);
}

TEST(Status, TheSecondOfADoubleReadAsOneIsShared) {
  RowRecord row;
  add_seed(row, 1.000);
  add_seed(row, 1.012, false);
  add_band_at(row, 1.001);
  match_bands(row, rules());
  EXPECT_EQ(status(row, 0), SeedStatus::kBanded);
  EXPECT_EQ(status(row, 1), SeedStatus::kShared);
  EXPECT_EQ(row.seeds[1].band, -1);
  EXPECT_FALSE(within_tolerance(row, 1, 0.025, rules()));
}

TEST(Status, AnUnsensedSeedMayStillGetTheBand) {
  RowRecord row;  // the band of the first lies nearer to its unsensed twin
  add_seed(row, 1.000);
  add_seed(row, 1.012, false);
  add_band_at(row, 1.010);
  match_bands(row, rules());
  EXPECT_EQ(status(row, 1), SeedStatus::kBanded);
  EXPECT_EQ(status(row, 0), SeedStatus::kShared);
}

TEST(Status, LessThanHalfTheDoseIsWeak) {
  RowRecord row;
  add_seed(row, 1.0);
  add_band_at(row, 1.003).dose_m3 = 0.49 * kDose_m3;
  match_bands(row, rules());
  EXPECT_EQ(status(row, 0), SeedStatus::kWeak);
  EXPECT_NEAR(error_mm(row, 0), 3.0, 1e-9);
  row.bands[0].dose_m3 = 0.51 * kDose_m3;
  match_bands(row, rules());
  EXPECT_EQ(status(row, 0), SeedStatus::kBanded);
}

TEST(Status, ABandWithoutShapeIsStray) {
  RowRecord row;
  add_seed(row, 1.0);
  row.bands.push_back({});  // commanded, but nothing with a shape left the outlet
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].stray);
  EXPECT_EQ(status(row, 0), SeedStatus::kNoBand);
}

TEST(Status, OnTargetIsTheSeedsOnlyWhereTheBandsParcelsWereItsOwn) {
  RowRecord row;
  add_seed(row, 1.0);
  sim::measure::BandRecord& band = add_band_at(row, 1.0);
  band.nearest_seed = 0;
  band.on_target_ratio = 0.9;
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].on_target_ratio, 0.9);
  row.bands[0].nearest_seed = 3;
  match_bands(row, rules());
  EXPECT_TRUE(std::isnan(row.seeds[0].on_target_ratio));
}

TEST(Merged, AStretchThatReachesRoundTwoSeedsServesBoth) {
  RowRecord row = merged_row(0.0, 0.0);
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merged);
  EXPECT_EQ(row.bands[0].first_seed, 0);
  EXPECT_EQ(row.bands[0].last_seed, 1);
  for (int seed : {0, 1}) {
    EXPECT_EQ(status(row, seed), SeedStatus::kMerged);
    EXPECT_EQ(row.seeds[static_cast<std::size_t>(seed)].band, 0);
    EXPECT_TRUE(std::isnan(row.seeds[static_cast<std::size_t>(seed)].placement_error_m));
    EXPECT_TRUE(within_tolerance(row, seed, 0.010, rules()));
  }
}

TEST(Merged, ThreeSeedsAndAnUnsensedOneBetween) {
  RowRecord row;
  for (double x_m : {1.00, 1.09, 1.18}) add_seed(row, x_m);
  add_seed(row, 1.13, false);
  add_band(row, 0.96, 1.22);
  for (int seed : {0, 1, 2}) cover(row, 0, seed, 1.0);
  row.shortest_closed_s = 6e-3;
  match_bands(row, rules());
  for (int seed : {0, 1, 2}) EXPECT_EQ(status(row, seed), SeedStatus::kMerged);
  EXPECT_EQ(status(row, 3), SeedStatus::kShared);
}

TEST(Merged, AnUnsensedSeedInItsMiddleDoesNotOwnTheStretch) {
  RowRecord row = merged_row(0.0, 0.0);
  add_seed(row, 1.05, false);  // right at the centroid
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merged);
  EXPECT_EQ(status(row, 2), SeedStatus::kShared);
  EXPECT_EQ(row.seeds[2].band, -1);
}

TEST(Merged, EndsAreJudgedAgainstFirstAndLastSeed) {
  RowRecord late = merged_row(0.008, 0.0);
  match_bands(late, rules());
  EXPECT_TRUE(within_tolerance(late, 0, 0.010, rules()));
  RowRecord later = merged_row(0.012, 0.0);
  match_bands(later, rules());
  EXPECT_FALSE(within_tolerance(later, 0, 0.010, rules()));
  EXPECT_FALSE(within_tolerance(later, 1, 0.010, rules()));
  EXPECT_TRUE(within_tolerance(later, 1, 0.025, rules()));
  EXPECT_NEAR(sim::measure::stretch_end_misses(later, later.bands[0], kBand_m).start_m, 0.012,
              1e-12);
}

TEST(Merged, ASeedThatIsNotCoveredIsNotServed) {
  RowRecord row = merged_row(0.0, 0.0);
  row.covered[1].covered_ratio = 0.94;
  match_bands(row, rules());
  EXPECT_TRUE(within_tolerance(row, 0, 0.010, rules()));
  EXPECT_FALSE(within_tolerance(row, 1, 0.010, rules()));
}

TEST(Merged, IsUnlawfulWhereTheValveCouldHaveClosed) {
  RowRecord row = merged_row(0.0, 0.0);  // closed for 5 ms between them
  row.shortest_closed_s = 4e-3;
  match_bands(row, rules());
  EXPECT_EQ(status(row, 0), SeedStatus::kMerged);
  EXPECT_FALSE(row.bands[0].merge_lawful);
  EXPECT_FALSE(within_tolerance(row, 0, 0.025, rules()));
  // An edge's jitter blurs the border: 3 sqrt(2) 0.3 ms = 1.27 ms.
  sim::measure::PlacementRules jittery = rules();
  jittery.edge_jitter_s = 0.3e-3;
  match_bands(row, jittery);
  EXPECT_TRUE(row.bands[0].merge_lawful);
}

// The valve is on for longer than B/v where it closes faster than it opens; the row's single bands
// show by how much, and the closed time shrinks by it.
TEST(Merged, TheClosedTimeIsThatOfTheCommands) {
  RowRecord row = merged_row(0.0, 0.0);
  row.shortest_closed_s = 4e-3;
  for (double x_m : {2.0, 2.16, 2.32}) {
    add_seed(row, x_m);
    add_band_at(row, x_m).close_s += 1.5e-3;
  }
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merge_lawful);  // 5 - 1.5 = 3.5 ms
}

TEST(Merged, AnUnbrokenStreamOverWideSpacingsServesNobody) {
  RowRecord row;
  for (int k = 0; k < 20; ++k) add_seed(row, 1.0 + kSpacing_m * k);
  add_band(row, 0.96, 1.0 + 19 * kSpacing_m + 0.04);
  for (int k = 0; k < 20; ++k) cover(row, 0, k, 1.0);
  row.shortest_closed_s = 6e-3;  // 80 mm of gap are 20 ms
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merged);
  for (int k = 0; k < 20; ++k) EXPECT_FALSE(within_tolerance(row, k, 0.025, rules()));
}

TEST(Merged, AnOrdinaryBandBesideAnUnservedNeighbourStaysOne) {
  RowRecord row;
  add_seed(row, 1.000);
  add_seed(row, 1.035);  // sensed, 35 mm on, but the controller fired once
  add_band_at(row, 1.002);
  match_bands(row, rules());
  EXPECT_FALSE(row.bands[0].merged);
  EXPECT_EQ(status(row, 0), SeedStatus::kBanded);
  EXPECT_EQ(status(row, 1), SeedStatus::kShared);
}

TEST(Merged, ALongBandDoesNotTakeItsNeighboursSeed) {
  RowRecord row;
  add_seed(row, 1.00);
  add_seed(row, 1.12);
  add_band(row, 0.96, 1.12);  // 80 mm too long: its end is nearer to the neighbour
  add_band_at(row, 1.12);
  match_bands(row, rules());
  EXPECT_FALSE(row.bands[0].merged);
  EXPECT_EQ(row.seeds[1].band, 1);
}

TEST(Matching, IsTheSameWhenDoneAgain) {
  RowRecord row = merged_row(0.003, 0.0);
  add_seed(row, 1.4);
  add_band_at(row, 1.41);
  match_bands(row, rules());
  const RowRecord once = row;
  match_bands(row, rules());
  for (std::size_t i = 0; i < row.seeds.size(); ++i) {
    EXPECT_EQ(row.seeds[i].status, once.seeds[i].status);
    EXPECT_EQ(row.seeds[i].band, once.seeds[i].band);
  }
}

TEST(Matching, AnEmptyRowIsNoTrouble) {
  RowRecord row;
  match_bands(row, rules());
  add_band_at(row, 1.0);
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].stray);
}
