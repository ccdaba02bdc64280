// Matching and merging at their limits: what is exactly within reach, who may join a stretch, and
// when a merger is lawful. Speeds are 4 m/s and bands 80 mm, so that a band takes 20 ms.
#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/placement.h"
#include "tests/sim/measure/measure_rows.h"

namespace placement_limits {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::match_bands;
using sim::measure::PlacementRules;
using sim::measure::RowRecord;
using sim::measure::SeedStatus;
using sim::measure::within_tolerance;

RowRecord seeds_at(std::initializer_list<double> places_m) {
  RowRecord row;
  for (const double x_m : places_m) add_seed(row, x_m);
  return row;
}

// The stretch's far end would serve a seed at 0.40; the next one lies at 0.50, and no seed is
// nearer than half a spacing (80 mm).
TEST(PlacementLimits, AStretchThatEndsFarFromAnySeedServesNone) {
  RowRecord row = seeds_at({0.0, 0.50});
  add_band(row, -0.04, 0.44);
  match_bands(row, rules());
  EXPECT_FALSE(row.bands[0].merged);
  row = seeds_at({0.0, 0.47});
  add_band(row, -0.04, 0.44);
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merged);
}

TEST(PlacementLimits, AnEndPassesOverASeedThatWasNotSensed) {
  RowRecord row = seeds_at({0.0, 0.95, 2.0});
  add_seed(row, 0.99, false);
  add_band(row, -0.04, 1.04);
  match_bands(row, rules());
  ASSERT_TRUE(row.bands[0].merged);
  EXPECT_EQ(row.bands[0].last_seed, 1);
  EXPECT_EQ(row.seeds[3].status, SeedStatus::kShared) << "it lies in the stretch of others";
}

// A seed at the very reach of an end (125 mm) that may not join stops nothing and serves nobody.
TEST(PlacementLimits, AnUnsensedSeedAtTheReachOfAnEndIsNone) {
  PlacementRules halves = rules();
  halves.band_length_m = 0.125;
  halves.theoretical_spacing_m = 0.25;
  RowRecord row = seeds_at({0.0});
  add_seed(row, 0.875, false);
  add_band(row, -0.0625, 1.0625);
  match_bands(row, halves);
  EXPECT_FALSE(row.bands[0].merged);
}

// What was found in a first round is forgotten in the second.
TEST(PlacementLimits, ASecondRoundForgetsTheFirst) {
  RowRecord row = seeds_at({0.0, 0.16, 0.32});
  add_band(row, -0.04, 0.20);
  add_band_at(row, 0.32);
  match_bands(row, rules());
  EXPECT_EQ(row.seeds[0].status, SeedStatus::kMerged);
  row.bands[0].start_x_ground_m = 5.0;
  row.bands[0].end_x_ground_m = 5.08;
  row.bands[0].centre_x_ground_m = 5.04;
  row.bands[1].centre_x_ground_m = 5.20;
  row.bands[1].start_x_ground_m = 5.16;
  row.bands[1].end_x_ground_m = 5.24;
  match_bands(row, rules());
  for (const sim::measure::SeedRecord& seed : row.seeds) {
    EXPECT_EQ(seed.status, SeedStatus::kNoBand);
    EXPECT_EQ(seed.band, -1);
    EXPECT_TRUE(std::isnan(seed.placement_error_m));
  }
  EXPECT_EQ(row.bands[0].first_seed, -1);
  EXPECT_EQ(row.bands[0].last_seed, -1);
  EXPECT_FALSE(row.bands[0].merged);
  EXPECT_TRUE(row.bands[0].stray && row.bands[1].stray);
}

// The first stretch has the first two seeds; the second one may not have the second of them again.
TEST(PlacementLimits, ASeedOfOneStretchJoinsNoOther) {
  RowRecord row = seeds_at({0.0, 0.16, 0.32});
  add_band(row, -0.04, 0.20);
  add_band(row, 0.14, 0.36);
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].merged);
  EXPECT_FALSE(row.bands[1].merged);
  EXPECT_EQ(row.seeds[1].band, 0);
}

// The seed that the stretch's centre is nearest to was not sensed: the stretch is not its own, even
// where it is the first seed that fell.
TEST(PlacementLimits, AStretchIsNotOfTheUnsensedSeedInItsMiddle) {
  RowRecord row;
  add_seed(row, 0.16, false);
  add_seed(row, 0.0);
  add_seed(row, 0.32);
  add_band(row, -0.04, 0.36);
  match_bands(row, rules());
  ASSERT_TRUE(row.bands[0].merged);
  EXPECT_EQ(row.seeds[0].band, -1);
  EXPECT_EQ(row.seeds[0].status, SeedStatus::kShared);
  EXPECT_EQ(row.seeds[1].status, SeedStatus::kMerged);
  EXPECT_EQ(row.seeds[2].status, SeedStatus::kMerged);
}

/// Twelve seeds with a band each; the sixth and the seventh have one for both.
RowRecord row_with_one_stretch() {
  RowRecord row;
  for (int k = 0; k < 12; ++k) add_seed(row, kSpacing_m * k);
  for (int k = 0; k < 12; ++k) {
    if (k == 6) continue;
    if (k == 5)
      add_band(row, kSpacing_m * 5 - 0.04, kSpacing_m * 6 + 0.04);
    else
      add_band_at(row, kSpacing_m * k);
  }
  return row;
}

// Edges 40 ms apart less 20 ms of band: the valve could be closed for 20 ms. Single bands that are
// commanded for 2 ms more than they take leave 18 ms, and for 2 ms less 22 ms.
TEST(PlacementLimits, SingleBandsShowHowLongTheValveCouldClose) {
  for (const double more_s : {0.0, 2e-3, -2e-3}) {
    const auto lawful = [&](double shortest_closed_s) {
      RowRecord row = row_with_one_stretch();
      for (sim::measure::BandRecord& band : row.bands)
        if (band.end_x_ground_m - band.start_x_ground_m < 0.1) band.close_s += more_s;
      row.shortest_closed_s = shortest_closed_s;
      match_bands(row, rules());
      EXPECT_TRUE(row.bands[5].merged);
      return row.bands[5].merge_lawful;
    };
    EXPECT_TRUE(lawful(20.1e-3 - more_s)) << more_s;
    EXPECT_FALSE(lawful(19.9e-3 - more_s)) << more_s;
  }
}

// One single band is enough to show it, also where it is the first seed's.
TEST(PlacementLimits, TheFirstSeedsBandShowsItToo) {
  RowRecord row = seeds_at({0.0, 0.16, 0.32});
  add_band_at(row, 0.0).close_s += 5e-3;
  add_band(row, 0.12, 0.36);
  row.shortest_closed_s = 16e-3;  // 20 ms less 5 ms
  match_bands(row, rules());
  ASSERT_TRUE(row.bands[1].merged);
  EXPECT_TRUE(row.bands[1].merge_lawful);
}

// 320 mm between the two that were sensed: 80 ms less 20 ms, whatever lies between them.
TEST(PlacementLimits, AnUnsensedSeedBetweenDoesNotShortenTheTime) {
  RowRecord row = seeds_at({0.0, 0.32});
  add_seed(row, 0.16, false);
  add_band(row, -0.04, 0.36);
  row.shortest_closed_s = 30e-3;
  match_bands(row, rules());
  ASSERT_TRUE(row.bands[0].merged);
  EXPECT_FALSE(row.bands[0].merge_lawful);
}

// Seeds nearer than a band is long want liquid between them: that is lawful whatever the valve can.
// Single bands commanded for 5 ms only would leave 17.5 - 20 + 15 = 12.5 ms to close in.
TEST(PlacementLimits, SeedsWhoseBandsOverlapMayAlwaysBeMerged) {
  RowRecord row = seeds_at({0.0, 0.07, 0.40, 0.56});
  add_band(row, -0.04, 0.11);
  for (const double x_m : {0.40, 0.56}) {
    sim::measure::BandRecord& band = add_band_at(row, x_m);
    band.close_s = band.open_s + 5e-3;
  }
  row.shortest_closed_s = 10e-3;
  match_bands(row, rules());
  ASSERT_TRUE(row.bands[0].merged);
  EXPECT_TRUE(row.bands[0].merge_lawful);
}

TEST(PlacementLimits, ASeedAtTheVeryEndOfANeighboursBandShares) {
  PlacementRules halves = rules();
  halves.band_length_m = 0.125;
  halves.theoretical_spacing_m = 0.25;
  RowRecord row = seeds_at({1.0, 1.0625});
  add_band(row, 0.9375, 1.0625);
  match_bands(row, halves);
  EXPECT_EQ(row.seeds[1].status, SeedStatus::kShared);
  row = seeds_at({1.0, 1.0635});
  add_band(row, 0.9375, 1.0625);
  match_bands(row, halves);
  EXPECT_EQ(row.seeds[1].status, SeedStatus::kNoBand);
}

// Covered stretches are those of the band itself, not what stands behind them in the list.
TEST(PlacementLimits, ASeedIsCoveredByItsOwnStretchOnly) {
  RowRecord row = seeds_at({0.0, 0.16, 0.32});
  add_band(row, -0.04, 0.20);
  add_band_at(row, 0.32);
  cover(row, 0, 0, 1.0);
  cover(row, 1, 1, 1.0);
  row.shortest_closed_s = 1.0;
  match_bands(row, rules());
  ASSERT_TRUE(row.bands[0].merged);
  EXPECT_TRUE(within_tolerance(row, 0, 0.010, rules()));
  EXPECT_FALSE(within_tolerance(row, 1, 0.010, rules()));
}

TEST(PlacementLimits, AWeakBandIsWithinByItsPlace) {
  RowRecord row = seeds_at({0.0});
  add_band_at(row, 0.004).dose_m3 *= 0.4;
  match_bands(row, rules());
  ASSERT_EQ(row.seeds[0].status, SeedStatus::kWeak);
  EXPECT_TRUE(within_tolerance(row, 0, 0.010, rules()));
  EXPECT_FALSE(within_tolerance(row, 0, 0.003, rules()));
}

// Nothing of it has landed: it has no place, and nobody knows when its valve opened.
TEST(PlacementLimits, ANewBandHasNoPlaceAndANewOpeningNoEnd) {
  RowRecord row = seeds_at({0.0});
  const sim::measure::BandRecord& band = row.bands.emplace_back();
  EXPECT_TRUE(std::isnan(band.start_x_ground_m));
  EXPECT_TRUE(std::isnan(band.end_x_ground_m));
  EXPECT_TRUE(std::isnan(band.centre_x_ground_m));
  EXPECT_TRUE(std::isnan(sim::measure::PulseOpening{}.stop_s));
  match_bands(row, rules());
  EXPECT_TRUE(row.bands[0].stray);
  EXPECT_EQ(row.seeds[0].status, SeedStatus::kNoBand);
}

// Bands without a shape have no place: they neither match nor disturb the order of the others.
TEST(PlacementLimits, BandsWithoutAPlaceDisturbNoOrder) {
  RowRecord row;
  for (int k = 0; k < 64; ++k) add_seed(row, kSpacing_m * (k * 37 % 64));
  for (int k = 0; k < 64; ++k) {
    add_band_at(row, kSpacing_m * (k * 29 % 64));
    if (k % 3 == 0) add_band_at(row, kSpacing_m).centre_x_ground_m = std::nan("");
  }
  match_bands(row, rules());
  for (const sim::measure::SeedRecord& seed : row.seeds) {
    EXPECT_EQ(seed.status, SeedStatus::kBanded);
    EXPECT_NEAR(seed.placement_error_m, 0.0, 1e-12);
  }
}

}  // namespace
}  // namespace placement_limits
