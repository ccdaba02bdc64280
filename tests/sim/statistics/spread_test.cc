// Medians, roots of squares and the even spread, worked by hand.
#include "sim/statistics/spread.h"

#include <gtest/gtest.h>

#include <cmath>

TEST(SpreadByHand, TheTwoMediansDifferForAnEvenNumberOnly) {
  EXPECT_EQ(sim::statistics::median_of({4.0, 1.0, 2.0}), 2.0);
  EXPECT_EQ(sim::statistics::upper_median_of({4.0, 1.0, 2.0}), 2.0);
  EXPECT_EQ(sim::statistics::median_of({8.0, 1.0, 4.0, 2.0}), 3.0);
  EXPECT_EQ(sim::statistics::upper_median_of({8.0, 1.0, 4.0, 2.0}), 4.0);
  EXPECT_TRUE(std::isnan(sim::statistics::median_of({})));
  EXPECT_TRUE(std::isnan(sim::statistics::upper_median_of({})));
}

// 3, 4, 12 and 13 are whole; an even spread over 0 to 1 has the variance 1/12.
TEST(SpreadByHand, RootOfSquaresAndEvenSpread) {
  EXPECT_EQ(sim::statistics::root_of_squares(3.0, 4.0), 5.0);
  EXPECT_EQ(sim::statistics::root_of_squares(3.0, 4.0, 12.0), 13.0);
  EXPECT_EQ(sim::statistics::kWidthOfEvenSpread_ratio, std::sqrt(12.0));
}
