// The straight part of a dose curve, by numbers worked by hand.
#include "sim/study/valve/valve_dose.h"

#include <gtest/gtest.h>

#include <vector>

namespace sim::valve {
namespace {

// 20 mm3/ms after a dead time of 1.5 ms, and two ballistic points above the line.
TEST(ValveDose, TheLineStartsWhereItsPointsLieOnIt) {
  const std::vector<double> widths_s = {1.6e-3, 2e-3, 3e-3, 5e-3, 9e-3, 10e-3};
  std::vector<double> doses_m3 = {9e-9, 14e-9};  // the line has 2 and 10 mm3
  for (std::size_t k = 2; k < widths_s.size(); ++k)
    doses_m3.push_back(20e-6 * (widths_s[k] - 1.5e-3));
  const DoseLine line = dose_line(widths_s, doses_m3, 0.05);
  ASSERT_TRUE(line.found);
  EXPECT_DOUBLE_EQ(line.from_s, 3e-3);
  EXPECT_NEAR(line.slope_m3ps, 20e-6, 1e-15);
  EXPECT_NEAR(line.dead_s, 1.5e-3, 1e-12);
  EXPECT_NEAR(line.r2_ratio, 1.0, 1e-12);
}

// Widths 1, 2, 3, 4: doses 1, 2, 4, 4 by hand: slope 1.1, mean 2.75 at 2.5, so w0 = 0; residuals
// -0.1, -0.2, 0.7, -0.4: squares 0.70 of 6.75, R2 = 1 - 0.70/6.75.
TEST(ValveDose, SlopeDeadTimeAndR2ByHand) {
  const std::vector<double> widths_s = {1.0, 2.0, 3.0, 4.0}, doses_m3 = {1.0, 2.0, 4.0, 4.0};
  const DoseLine line = dose_line(widths_s, doses_m3, 0.5);
  ASSERT_TRUE(line.found);
  EXPECT_NEAR(line.slope_m3ps, 1.1, 1e-12);
  EXPECT_NEAR(line.dead_s, 0.0, 1e-12);
  EXPECT_NEAR(line.r2_ratio, 1.0 - 0.70 / 6.75, 1e-12);
  EXPECT_NEAR(line.worst_ratio, 0.7 / 4.0, 1e-12);
}

TEST(ValveDose, NoLineIsSaidToBeNone) {
  const std::vector<double> widths_s = {1.0, 2.0, 3.0};
  EXPECT_FALSE(dose_line(widths_s, std::vector<double>{0.0, 0.0, 0.0}, 0.05).found);
  EXPECT_FALSE(dose_line(widths_s, std::vector<double>{3.0, 2.0, 1.0}, 0.05).found);
  EXPECT_FALSE(dose_line(widths_s, std::vector<double>{1.0, 5.0, 6.0}, 0.05).found);
}

TEST(ValveDose, TheLongestPartMayLieInTheMiddle) {
  const std::vector<double> widths_s = {1.0, 2.0, 3.0, 4.0, 5.0, 6.0};
  const std::vector<double> doses_m3 = {5.0, 2.0, 3.0, 4.0, 5.0, 20.0};
  const DoseLine line = longest_dose_line(widths_s, doses_m3, 0.02);
  ASSERT_TRUE(line.found);
  EXPECT_DOUBLE_EQ(line.from_s, 2.0);
  EXPECT_DOUBLE_EQ(line.to_s, 5.0);
  EXPECT_NEAR(line.slope_m3ps, 1.0, 1e-12);
}

}  // namespace
}  // namespace sim::valve
