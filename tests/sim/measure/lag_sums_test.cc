// The sums by which a row that is taken in stretches is asked for its lag: against sums worked by
// hand, and at the limits of Fisher's test (R. A. Fisher, Metron 1, 1921: z = atanh r has the
// variance 1 / (n - 3)).
#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/placement.h"
#include "tests/sim/measure/measure_rows.h"

namespace {

using sim::measure::kLagMost;
using sim::measure::LagSums;
using sim::measure::winning_lag_seeds;

LagSums::Pairs& at_lag(LagSums& sums, int lag) {
  return sums.lags[static_cast<std::size_t>(lag + kLagMost)];
}

LagSums::Pairs pairs_of(long long count, double correlation_ratio) {
  return {.count = count, .band_m2 = 4e-4, .seed_m2 = 1e-4, .both_m2 = 2e-4 * correlation_ratio};
}

/// Nothing is known but the two lags.
int winner(const LagSums::Pairs& at_zero, int lag, const LagSums::Pairs& there) {
  LagSums sums;
  at_lag(sums, 0) = at_zero;
  at_lag(sums, lag) = there;
  return winning_lag_seeds(sums);
}

sim::measure::RowRecord row_by_hand() {
  sim::measure::RowRecord row;
  const double places_m[9] = {0.00, 0.16, 0.30, 0.48, 0.62, 0.80, 0.96, 1.10, 1.28};
  for (double x_m : places_m) measure_rows::add_seed(row, x_m);
  for (double x_m : places_m) measure_rows::add_band_at(row, x_m);
  row.bands[4].centre_x_ground_m += 0.010;
  sim::measure::match_bands(row, measure_rows::rules());
  return row;
}

}  // namespace

// Seed spacings in mm: 160 140 180 140 180 160 140 180; of the bands 160 140 180 150 170 160 140
// 180; both have the mean 160. Each stretch takes the pairs that begin in it, a seed at its very
// beginning among them.
TEST(LagSums, OfTwoStretchesAreTheSumsOfTheRow) {
  LagSums sums;
  sums.take(row_by_hand(), -HUGE_VAL, 0.48);
  EXPECT_EQ(at_lag(sums, 0).count, 3);
  sums.take(row_by_hand(), 0.48, HUGE_VAL);
  EXPECT_EQ(at_lag(sums, 0).count, 8);
  EXPECT_NEAR(at_lag(sums, 0).mean_band_m, 0.160, 1e-12);
  EXPECT_NEAR(at_lag(sums, 0).mean_seed_m, 0.160, 1e-12);
  EXPECT_NEAR(at_lag(sums, 0).seed_m2, 2400e-6, 1e-12);
  EXPECT_NEAR(at_lag(sums, 0).band_m2, 1800e-6, 1e-12);
  EXPECT_NEAR(at_lag(sums, 0).both_m2, 2000e-6, 1e-12);
}

// With the next seed: bands 160 140 180 150 170 160 140, mean 1100/7; seeds without the first,
// 140 180 140 180 160 140 180, mean 160; with the seed before, likewise.
TEST(LagSums, ALagLeavesOutWhatHasNoPartner) {
  LagSums sums;
  sums.take(row_by_hand(), -HUGE_VAL, HUGE_VAL);
  for (int lag = -kLagMost; lag <= kLagMost; ++lag)
    EXPECT_EQ(at_lag(sums, lag).count, 8 - std::abs(lag)) << lag;
  EXPECT_NEAR(at_lag(sums, 1).mean_band_m, 1.100 / 7.0, 1e-12);
  EXPECT_NEAR(at_lag(sums, 1).mean_seed_m, 0.160, 1e-12);
  EXPECT_NEAR(at_lag(sums, -1).mean_band_m, 1.120 / 7.0, 1e-12);
  EXPECT_NEAR(at_lag(sums, -1).mean_seed_m, 1.100 / 7.0, 1e-12);
}

TEST(LagSums, ALagWinsByFourStandardErrors) {
  const double four_ratio = 4.0 * std::sqrt(1.0 / 55.0 + 1.0 / 56.0);
  for (const double zero_ratio : {0.0, 0.5, -0.5}) {
    const double z_ratio = std::atanh(zero_ratio);
    for (const int lag : {-kLagMost, -1, 1, kLagMost}) {
      const auto won = [&](double errors) {
        return winner(pairs_of(59, zero_ratio), lag,
                      pairs_of(58, std::tanh(z_ratio + errors * four_ratio)));
      };
      EXPECT_EQ(won(1.001), lag) << zero_ratio;
      EXPECT_EQ(won(0.999), 0) << zero_ratio << ", lag " << lag;
    }
  }
}

TEST(LagSums, FewerThanEightPairsTellNothing) {
  EXPECT_EQ(winner(pairs_of(9, 0.0), 1, pairs_of(8, 0.99999)), 1);
  EXPECT_EQ(winner(pairs_of(9, 0.0), 1, pairs_of(7, 0.99999)), 0);
  EXPECT_EQ(winner(pairs_of(8, 0.0), 1, pairs_of(8, 0.99999)), 1);
  EXPECT_EQ(winner(pairs_of(7, 0.0), 1, pairs_of(8, 0.99999)), 0);
}

TEST(LagSums, OfTwoEqualsNoneWins) {
  EXPECT_EQ(winner(pairs_of(60, 0.9), 1, pairs_of(59, 0.9)), 0);
  LagSums sums;
  at_lag(sums, 0) = pairs_of(60, 0.0);
  at_lag(sums, -2) = at_lag(sums, 3) = pairs_of(57, 0.9);
  EXPECT_EQ(winning_lag_seeds(sums), 0);
  at_lag(sums, 3) = pairs_of(57, 0.91);
  EXPECT_EQ(winning_lag_seeds(sums), 3);
  at_lag(sums, -2) = pairs_of(57, 0.92);
  EXPECT_EQ(winning_lag_seeds(sums), -2);
}

// A correlation that rounding has taken to 1 is not infinitely better than one a little below.
TEST(LagSums, OneIsHardlyBetterThanAlmostOne) {
  EXPECT_EQ(winner(pairs_of(60, 1.0 - 1e-13), 1, pairs_of(59, 1.0)), 0);
}

// Spacings that differ by a nanometre at the most differ by rounding only.
TEST(LagSums, EvenSpacingsTellNothing) {
  const double even_m2 = 58.0 * 1e-9 * 1e-9;
  LagSums::Pairs even = pairs_of(58, 0.0);
  even.both_m2 = 1e-3;
  for (const double rough_ratio : {1.0, 2.0}) {
    LagSums::Pairs bands = even, seeds = even;
    bands.band_m2 = rough_ratio * even_m2;
    seeds.seed_m2 = rough_ratio * even_m2;
    EXPECT_EQ(winner(pairs_of(59, 0.0), 1, bands), rough_ratio > 1.0 ? 1 : 0);
    EXPECT_EQ(winner(pairs_of(59, 0.0), 1, seeds), rough_ratio > 1.0 ? 1 : 0);
  }
}
