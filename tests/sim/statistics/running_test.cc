// Figures of values that are not kept, against those of the same values kept (spread.h).
#include "sim/statistics/running.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace {

using sim::statistics::CountedSpread;
using sim::statistics::Moments;

/// Values without a pattern: fractions of multiples of the golden ratio, spread over +-20.
std::vector<double> values(int count) {
  std::vector<double> all;
  for (int k = 1; k <= count; ++k) all.push_back(40.0 * (std::fmod(k * 0.6180339887, 1.0) - 0.5));
  return all;
}

TEST(Running, FiguresAreThoseOfTheValuesKept) {
  constexpr double kCell = 0.01;
  const std::vector<double> all = values(5000);
  CountedSpread counted(kCell, 100.0);
  for (const double value : all) counted.take(value);
  const sim::statistics::Spread kept = sim::statistics::spread_of(all);
  const sim::statistics::Spread own = counted.spread();
  EXPECT_NEAR(own.mean_m, kept.mean_m, 1e-12);
  EXPECT_NEAR(own.sd_m, kept.sd_m, 1e-12 * kept.sd_m);
  EXPECT_NEAR(own.p05_m, kept.p05_m, 0.5 * kCell + 1e-12);
  EXPECT_NEAR(own.p50_m, kept.p50_m, 0.5 * kCell + 1e-12);
  EXPECT_NEAR(own.p95_m, kept.p95_m, 0.5 * kCell + 1e-12);
  EXPECT_NEAR(own.abs_p95_m, kept.abs_p95_m, 0.5 * kCell + 1e-12);
  EXPECT_DOUBLE_EQ(own.max_abs_m, kept.max_abs_m);
}

// Mean 3, sum of squared differences 10 (by hand), of 1 to 5 in two parts.
TEST(Running, PartsAddUp) {
  Moments first, second;
  for (const double value : {1.0, 2.0}) first.take(value);
  for (const double value : {3.0, 4.0, 5.0}) second.take(value);
  first.take(second);
  EXPECT_EQ(first.count(), 5);
  EXPECT_DOUBLE_EQ(first.mean(), 3.0);
  EXPECT_DOUBLE_EQ(first.squares(), 10.0);

  CountedSpread low(1.0, 10.0), high(1.0, 10.0);
  low.take(-7.5);
  high.take(6.5);
  high.take(99.0);  // beyond the reach
  low.take(high);
  ASSERT_EQ(low.cells().size(), 3u);
  EXPECT_DOUBLE_EQ(low.cells()[0].middle, -7.5);
  EXPECT_DOUBLE_EQ(low.cells()[1].middle, 6.5);
  EXPECT_DOUBLE_EQ(low.cells()[2].middle, 10.5);
  EXPECT_DOUBLE_EQ(low.spread().max_abs_m, 99.0);
}

TEST(Running, NothingHasNoFigures) {
  const CountedSpread none(1.0, 1.0);
  EXPECT_TRUE(std::isnan(none.quantile(0.5)));
  EXPECT_TRUE(std::isnan(none.moments().sd()));
}

}  // namespace
