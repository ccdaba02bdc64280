#include "sim/measure/let_go.h"

#include <gtest/gtest.h>

#include "tests/sim/measure/measure_rows.h"

namespace {

using namespace measure_rows;  // NOLINT: the words of these stories

// Seeds at 1, 2, 3 m with a band each, and one that covers the last two; the first is let go.
TEST(LetGo, WhatStaysIsCountedFromItsNewBeginning) {
  sim::measure::RowRecord row;
  for (const double x_m : {1.0, 2.0, 3.0}) {
    add_seed(row, x_m);
    add_band_at(row, x_m).nearest_seed = static_cast<int>(x_m) - 1;
  }
  cover(row, 0, 0, 0.5);
  cover(row, 2, 1, 0.25);
  cover(row, 2, 2, 1.0);
  row.coil.openings = {{row.bands[0].open_s, 0.0}, {row.bands[1].open_s, 0.0}};
  sim::measure::let_go(row, 1, 1.5);
  EXPECT_EQ(row.first_seed, 1);
  EXPECT_EQ(row.first_band, 1);
  ASSERT_EQ(row.seeds.size(), 2u);
  ASSERT_EQ(row.bands.size(), 2u);
  EXPECT_EQ(row.bands[0].nearest_seed, 0);
  EXPECT_EQ(row.bands[1].nearest_seed, 1);
  ASSERT_EQ(row.covered.size(), 2u);
  EXPECT_EQ(row.bands[1].first_covered, 0);
  EXPECT_EQ(row.covered[0].seed, 0);
  EXPECT_EQ(row.covered[1].seed, 1);
  EXPECT_EQ(row.coil.openings.size(), 1u);
}

// A band that reaches beyond the place stays, and so do those behind it.
TEST(LetGo, ABandThatReachesFurtherStays) {
  sim::measure::RowRecord row;
  add_band(row, 0.0, 9.0);
  add_band_at(row, 1.0);
  sim::measure::let_go(row, 0, 5.0);
  EXPECT_EQ(row.bands.size(), 2u);
}

// The band that stays covers from the list's first place on, and nothing of the list goes.
TEST(LetGo, WhatTheFirstPlacesCoverStays) {
  sim::measure::RowRecord row;
  for (const double x_m : {1.0, 2.0}) add_seed(row, x_m);
  add_band_at(row, 1.0);
  add_band_at(row, 2.0).nearest_seed = 0;
  cover(row, 1, 1, 1.0);
  cover(row, 1, 0, 0.5);
  sim::measure::let_go(row, 1, 1.5);
  ASSERT_EQ(row.bands.size(), 1u);
  EXPECT_EQ(row.bands[0].first_covered, 0);
  ASSERT_EQ(row.covered.size(), 2u);
  EXPECT_EQ(row.covered[0].seed, 0);
  EXPECT_EQ(row.covered[1].seed, -1) << "it was let go";
  EXPECT_EQ(row.bands[0].nearest_seed, -1) << "it was let go";
}

TEST(LetGo, ABandThatCoversNobodyKeepsThat) {
  sim::measure::RowRecord row;
  for (const double x_m : {1.0, 2.0, 3.0}) {
    add_seed(row, x_m);
    add_band_at(row, x_m);
  }
  cover(row, 0, 0, 1.0);
  cover(row, 2, 2, 1.0);
  sim::measure::let_go(row, 1, 1.5);
  EXPECT_EQ(row.bands[0].first_covered, -1);
  EXPECT_EQ(row.bands[1].first_covered, 0);
  EXPECT_EQ(row.covered.size(), 1u);
}

// Openings go with the bands before the first that stays; with no band left nobody knows which.
TEST(LetGo, WithoutABandTheOpeningsStay) {
  sim::measure::RowRecord row;
  add_band_at(row, 1.0);
  row.coil.openings = {{row.bands[0].open_s, 0.0}, {row.bands[0].open_s + 1.0, 0.0}};
  sim::measure::let_go(row, 0, 5.0);
  EXPECT_TRUE(row.bands.empty());
  EXPECT_EQ(row.coil.openings.size(), 2u);
}

// At the place itself, by its end or by its centre: a long tail behind may leave the end behind the
// centroid.
TEST(LetGo, ABandThatEndsOrCentresAtThePlaceOrBeyondStays) {
  const auto stays = [](double end_m, double centre_m) {
    sim::measure::RowRecord row;
    sim::measure::BandRecord& band = add_band(row, 0.9, end_m);
    band.centre_x_ground_m = centre_m;
    sim::measure::let_go(row, 0, 1.0);
    return row.bands.size() == 1u;
  };
  EXPECT_TRUE(stays(1.0, 0.95));
  EXPECT_TRUE(stays(0.99, 1.0));
  EXPECT_TRUE(stays(0.99, 1.01));
  EXPECT_FALSE(stays(0.99, 0.995));
}

// -1 means none, however long ago it was let go.
TEST(LetGo, AnIndexOfWhatIsGoneIsMinusOne) {
  sim::measure::RowRecord row;
  for (const double x_m : {1.0, 2.0, 3.0}) add_seed(row, x_m);
  add_band_at(row, 3.0).nearest_seed = 0;
  cover(row, 0, 0, 0.5);
  sim::measure::let_go(row, 2, 1.5);
  EXPECT_EQ(row.bands[0].nearest_seed, -1);
  EXPECT_EQ(row.covered[0].seed, -1);
}

}  // namespace
