// Which spacings the search for a wrong seed pairs, and what it makes of correlations at the very
// end of their range (placement.h: fewer than 8 pairs say nothing).
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim/measure/placement.h"
#include "tests/sim/measure/measure_rows.h"

namespace lag_pairs {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::kLagMost;
using sim::measure::lag_correlation_ratio;
using sim::measure::LagSums;
using sim::measure::RowRecord;

const std::vector<double> kPlaces_m = {0.00, 0.16, 0.30, 0.48, 0.62, 0.80, 0.96, 1.10, 1.28};

double at_lag(const RowRecord& row, int lag) {
  return lag_correlation_ratio(row)[static_cast<std::size_t>(lag + kLagMost)];
}

/// The places in this order of release, with a band each in order of time; the fifth one by place
/// misses by 10 mm.
RowRecord row_of(const std::vector<double>& seeds_m) {
  RowRecord row;
  for (const double x_m : seeds_m) add_seed(row, x_m);
  for (const double x_m : kPlaces_m) add_band_at(row, x_m);
  row.bands[4].centre_x_ground_m += 0.010;
  return row;
}

// As worked in wrong_seed_test.cc: sums of squares 2400 and 1800 mm2, of products 2000 mm2.
const double kByHand_ratio = 2000.0 / std::sqrt(2400.0 * 1800.0);

// Nine seeds have eight spacings: eight pairs at lag 0, and seven or fewer at any other.
TEST(LagPairs, ASpacingBeyondTheRowsEndsHasNoPartner) {
  RowRecord row = row_of(kPlaces_m);
  sim::measure::match_bands(row, rules());
  for (int lag = -kLagMost; lag <= kLagMost; ++lag)
    EXPECT_EQ(std::isnan(at_lag(row, lag)), lag != 0) << lag;
}

TEST(LagPairs, SpacingsAreThoseOfThePlacesInOrder) {
  RowRecord row = row_of({0.16, 0.00, 0.48, 0.30, 0.62, 1.28, 0.80, 1.10, 0.96});
  sim::measure::match_bands(row, rules());
  EXPECT_NEAR(at_lag(row, 0), kByHand_ratio, 1e-9);
}

TEST(LagPairs, ASeedWithoutAPlaceHasNoSpacing) {
  RowRecord row = row_of(kPlaces_m);
  for (const std::size_t before : {8u, 4u, 0u}) {
    sim::measure::SeedRecord nowhere = row.seeds[0];
    nowhere.rest_x_ground_m = std::nan("");
    row.seeds.insert(row.seeds.begin() + static_cast<std::ptrdiff_t>(before), nowhere);
  }
  sim::measure::match_bands(row, rules());
  EXPECT_NEAR(at_lag(row, 0), kByHand_ratio, 1e-9);
}

// Without the fifth band two of the eight spacings have none.
TEST(LagPairs, ASpacingWithoutABandIsNoPair) {
  RowRecord row = row_of(kPlaces_m);
  row.bands.erase(row.bands.begin() + 4);
  sim::measure::match_bands(row, rules());
  EXPECT_TRUE(std::isnan(at_lag(row, 0)));
  LagSums sums;
  sums.take(row, -HUGE_VAL, HUGE_VAL);
  EXPECT_EQ(sums.lags[kLagMost].count, 6);
}

// Two seeds at the last place, of which the first released has the band: it comes first.
TEST(LagPairs, OfTwoSeedsAtOnePlaceTheFirstReleasedComesFirst) {
  RowRecord row = row_of(kPlaces_m);
  add_seed(row, kPlaces_m.back());
  sim::measure::match_bands(row, rules());
  ASSERT_EQ(row.seeds[9].band, -1);
  EXPECT_FALSE(std::isnan(at_lag(row, 0)));
}

// Fisher's z of -1 is kept at that of -1 + 1e-12, -0.5 ln 2e12 = -14.16. For -1 + 8e-11 it is
// -0.5 ln 2.5e10 = -11.97; with 8 pairs each the two have to differ by 4 sqrt(2/5) = 2.53. All
// sums are powers of two, so that the first is exactly -1.
TEST(LagPairs, MinusOneIsHardlyWorseThanAlmostMinusOne) {
  const auto winner_over_minus_one = [](double correlation_ratio) {
    LagSums sums;
    sums.lags[kLagMost] = {.count = 8, .band_m2 = 0x1p-18, .seed_m2 = 0x1p-20, .both_m2 = -0x1p-19};
    sums.lags[kLagMost + 1] = sums.lags[kLagMost];
    sums.lags[kLagMost + 1].both_m2 = 0x1p-19 * correlation_ratio;
    return sim::measure::winning_lag_seeds(sums);
  };
  EXPECT_EQ(winner_over_minus_one(-1.0 + 8e-11), 0);
  EXPECT_EQ(winner_over_minus_one(-1.0 + 4e-10), 1) << "z = -11.17, 2.99 away";
}

}  // namespace
}  // namespace lag_pairs
