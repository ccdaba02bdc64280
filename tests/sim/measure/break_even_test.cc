#include "sim/measure/break_even.h"

#include <gtest/gtest.h>

#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <vector>

namespace {

using sim::measure::break_even_scatter_m;
using sim::measure::Goal;

const Goal kGoal{0.010, 0.95};
constexpr double kTwoSided95_ratio = 1.959964;  // normal table

double standard_normal_quantile(double share) {
  return boost::math::quantile(boost::math::normal_distribution<double>(), share);
}

}  // namespace

TEST(BreakEven, PerfectPlacementStandsTheToleranceOverTheTableValue) {
  const std::vector<double> perfect_m(100, 0.0);
  EXPECT_NEAR(break_even_scatter_m(perfect_m, 100, kGoal), 0.010 / kTwoSided95_ratio, 2e-8);
}

// Independent normal errors add as squares: what is left for the extra scatter is the rest.
TEST(BreakEven, NormalErrorsLeaveTheRestOfTheSquares) {
  std::vector<double> errors_m;
  const int n = 20000;
  for (int i = 0; i < n; ++i) errors_m.push_back(0.003 * standard_normal_quantile((i + 0.5) / n));
  const double whole_m = 0.010 / kTwoSided95_ratio;
  EXPECT_NEAR(break_even_scatter_m(errors_m, n, kGoal),
              std::sqrt(whole_m * whole_m - 0.003 * 0.003), 2e-6);
}

TEST(BreakEven, MissesUseUpTheAllowance) {
  // 4 of 100 have no band: the others must hold 95/96.
  const std::vector<double> perfect_m(96, 0.0);
  const double z = standard_normal_quantile(0.5 + 0.5 * 95.0 / 96.0);
  EXPECT_NEAR(break_even_scatter_m(perfect_m, 100, kGoal), 0.010 / z, 2e-8);
}

TEST(BreakEven, AnOffsetCostsScatterOnOneSide) {
  // All 6 mm ahead: 4 mm to go on one side, 16 on the other: 4 mm / 1.645 (one-sided 95 %, table).
  const std::vector<double> ahead_m(50, 0.006);
  EXPECT_NEAR(break_even_scatter_m(ahead_m, 50, kGoal), 0.004 / 1.644854, 1e-7);
}

TEST(BreakEven, BelowTheGoalAlreadyItIsZero) {
  const std::vector<double> perfect_m(94, 0.0);
  EXPECT_EQ(break_even_scatter_m(perfect_m, 100, kGoal), 0.0);
}

TEST(BreakEven, WithoutSensedSeedsThereIsNone) {
  EXPECT_TRUE(std::isnan(break_even_scatter_m({}, 0, kGoal)));
}

TEST(BreakEven, AtTheBreakEvenTheShareIsTheGoal) {
  const std::vector<double> errors_m = {0.001, -0.004, 0.002, 0.006, -0.002, 0.000, 0.003, -0.005};
  const double s_m = break_even_scatter_m(errors_m, 8, kGoal);
  EXPECT_NEAR(sim::measure::scattered_share_ratio(errors_m, 8, s_m, kGoal), 0.95, 1e-5);
  EXPECT_GT(sim::measure::scattered_share_ratio(errors_m, 8, 0.9 * s_m, kGoal), 0.95);
  EXPECT_LT(sim::measure::scattered_share_ratio(errors_m, 8, 1.1 * s_m, kGoal), 0.95);
}

// Without scatter a seed counts or not, and one at the tolerance counts; 1 m of scatter leaves what
// a normal table gives for +-0.01 sd: 0.79788 %.
TEST(BreakEven, WithoutScatterASeedCountsWholeOrNot) {
  const auto share = [](double error_m, double scatter_m) {
    const double errors_m[] = {error_m};
    return sim::measure::scattered_share_ratio(errors_m, 1, scatter_m, kGoal);
  };
  EXPECT_EQ(share(0.010, 0.0), 1.0);
  EXPECT_EQ(share(-0.010, 0.0), 1.0);
  EXPECT_EQ(share(0.0101, 0.0), 0.0);
  EXPECT_EQ(share(-0.0101, 0.0), 0.0);
  EXPECT_NEAR(share(0.0, 1.0), 0.0079788, 1e-7);
}
