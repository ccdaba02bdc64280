#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/placement.h"
#include "tests/sim/measure/measure_rows.h"

namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::kLagMost;
using sim::measure::lag_correlation_ratio;
using sim::measure::RowRecord;
using sim::measure::winning_lag_seeds;

// Irregular seeds, and bands that all lie `shift_m` ahead of the seeds they were fired for.
RowRecord shifted_row(int seeds, double shift_m) {
  RowRecord row;
  for (double x_m : irregular_places_m(seeds)) add_seed(row, x_m);
  for (const sim::measure::SeedRecord& seed : row.seeds)
    add_band_at(row, seed.rest_x_ground_m + shift_m);
  sim::measure::match_bands(row, rules());
  return row;
}

double at_lag(const RowRecord& row, int lag) {
  return lag_correlation_ratio(row)[static_cast<std::size_t>(lag + kLagMost)];
}

}  // namespace

TEST(WrongSeed, BandsOnTheirOwnSeedsWinAtLagZero) {
  const RowRecord row = shifted_row(60, 0.004);
  EXPECT_NEAR(at_lag(row, 0), 1.0, 1e-9);
  EXPECT_EQ(winning_lag_seeds(row), 0);
}

TEST(WrongSeed, EveryLagUpToFiveIsLookedAt) {
  for (int lag = -kLagMost; lag <= kLagMost; ++lag)
    EXPECT_FALSE(std::isnan(at_lag(shifted_row(60, 0.0), lag))) << lag;
}

TEST(WrongSeed, ADelayLongerByASpacingIsLagMinusOne) {
  EXPECT_EQ(winning_lag_seeds(shifted_row(60, kSpacing_m)), -1);
}

TEST(WrongSeed, ADelayShorterByASpacingIsLagPlusOne) {
  EXPECT_EQ(winning_lag_seeds(shifted_row(60, -kSpacing_m)), 1);
}

TEST(WrongSeed, ADelayWrongByTwoSpacingsIsFoundToo) {
  EXPECT_EQ(winning_lag_seeds(shifted_row(120, 2.0 * kSpacing_m)), -2);
}

// Matching alone is fooled: many of the shifted bands lie near a seed, only not near their own.
TEST(WrongSeed, WithoutTheCheckTheShiftedRowWouldScore) {
  const RowRecord row = shifted_row(60, kSpacing_m);
  int matched = 0;
  for (const sim::measure::SeedRecord& seed : row.seeds) matched += seed.band >= 0 ? 1 : 0;
  EXPECT_GT(matched, 40);
}

// With even spacings nothing distinguishes one seed from the next, so no lag can be determined: it
// is 0, and the correlation is stated as 0 though the bands are one spacing off.
TEST(WrongSeed, InARegularRowNoLagCanBeTold) {
  RowRecord row;
  for (int k = 0; k < 60; ++k) add_seed(row, 3000.0 + kSpacing_m * k);
  for (int k = 0; k < 60; ++k) add_band_at(row, 3000.0 + kSpacing_m * (k + 1));
  sim::measure::match_bands(row, rules());
  EXPECT_EQ(at_lag(row, 0), 0.0);
  EXPECT_EQ(winning_lag_seeds(row), 0);
}

// Regular seeds and bands that scatter by themselves: some lag correlates best by chance, which
// must not pass for a wrong seed.
TEST(WrongSeed, ChanceIsNoWrongSeed) {
  int alarms = 0, largest_is_elsewhere = 0;
  for (int start = 0; start < 200; ++start) {
    RowRecord row;
    const std::vector<double> noise_m = irregular_places_m(60 * 200 + 60);
    for (int k = 0; k < 60; ++k) {
      const auto i = static_cast<std::size_t>(60 * start + k);
      const double own_m = 0.05 * (noise_m[i + 1] - noise_m[i] - kSpacing_m);
      add_seed(row, kSpacing_m * k + own_m);
      const std::size_t other = noise_m.size() - 2 - i;
      add_band_at(row, kSpacing_m * k + 0.2 * (noise_m[other + 1] - noise_m[other] - kSpacing_m));
    }
    sim::measure::match_bands(row, rules());
    const auto all = lag_correlation_ratio(row);
    for (double r : all) {
      if (r > all[kLagMost]) {
        ++largest_is_elsewhere;
        break;
      }
    }
    alarms += winning_lag_seeds(row) != 0 ? 1 : 0;
  }
  EXPECT_GT(largest_is_elsewhere, 100);  // the bare maximum would raise false alarms
  EXPECT_EQ(alarms, 0);
}

TEST(WrongSeed, FewerThanEightPairsTellNothing) {
  const RowRecord row = shifted_row(8, 0.0);  // 7 spacings
  for (double r : lag_correlation_ratio(row)) EXPECT_TRUE(std::isnan(r));
  EXPECT_EQ(winning_lag_seeds(row), 0);
  EXPECT_FALSE(std::isnan(at_lag(shifted_row(9, 0.0), 0)));
}

// Pearson worked by hand: band spacings against seed spacings with one band 10 mm off.
TEST(WrongSeed, CorrelationIsPearsons) {
  RowRecord row;
  const double places_m[9] = {0.00, 0.16, 0.30, 0.48, 0.62, 0.80, 0.96, 1.10, 1.28};
  for (double x_m : places_m) add_seed(row, x_m);
  for (double x_m : places_m) add_band_at(row, x_m);
  row.bands[4].centre_x_ground_m += 0.010;
  sim::measure::match_bands(row, rules());
  // Seed spacings (mm) 160 140 180 140 180 160 140 180, mean 160; bands 160 140 180 150 170 ... ,
  // mean 160: sums of squares 6*400 = 2400 and 4*400 + 2*100 = 1800, of products 4*400 + 2*200 =
  // 2000.
  EXPECT_NEAR(at_lag(row, 0), 2000.0 / std::sqrt(2400.0 * 1800.0), 1e-9);
}
