// Gas out of solution against Epstein and Plesset 1950: their equation integrated here in another
// way, a dissolving time of their table, and the limits by hand.
#include "model/fluid/bubble_growth.h"

#include <gtest/gtest.h>

#include <cmath>

namespace {

constexpr double kDiffusivity_m2ps = 2e-9;  // air in water

/// dR/dt = S D (1/R + 1/sqrt(pi D t)), in x = sqrt(t): dR/dx = 2 S D (x/R + 1/sqrt(pi D)), RK4.
double integrated_m(double start_m, double excess, double time_s) {
  const int steps = 200'000;
  const double h = std::sqrt(time_s) / steps;
  const auto slope = [&](double x, double r) {
    return 2.0 * excess * kDiffusivity_m2ps * (x / r + 1.0 / std::sqrt(M_PI * kDiffusivity_m2ps));
  };
  double r = start_m;
  for (int k = 0; k < steps; ++k) {
    const double x = k * h;
    const double a = slope(x, r), b = slope(x + h / 2, r + h / 2 * a);
    const double c = slope(x + h / 2, r + h / 2 * b), d = slope(x + h, r + h * c);
    r += h / 6 * (a + 2 * b + 2 * c + d);
  }
  return r;
}

}  // namespace

// From a nucleus so small that its start is forgotten, the similarity solution is the integral.
TEST(BubbleGrowth, SimilaritySolutionSolvesTheirEquation) {
  for (const double excess : {6e-4, 2e-3, 0.02, 0.2}) {
    const double closed_m = model::grown_radius_m(excess, kDiffusivity_m2ps, 300.0);
    EXPECT_NEAR(integrated_m(closed_m * 1e-3, excess, 300.0) / closed_m, 1.0, 2e-3) << excess;
  }
}

// Air bubble of 10 um in water without dissolved air: gone after 1.17 s (their table I, with
// surface tension, from memory; D 2e-5 cm2/s, c_s/rho 0.02). The late law, without surface tension,
// gives R0^2 /(2 S D) = (1e-5)^2/(2 * 0.02 * 2e-9) = 1.25 s by hand. With it, delta = 2 sigma/p =
// 1.44 um, the integral of R (R + 2 delta/3)/(R + delta) takes the place of R0^2/2: 50 - delta R0/3
// + delta^2/3 ln(1 + R0/delta) = 50 - 4.80 + 1.43 = 46.63 um2, 93.3 % of it.
TEST(BubbleGrowth, DissolvingTimeOfTheirTable) {
  EXPECT_GT(model::late_radius_m(1e-5, -0.02, kDiffusivity_m2ps, 1.249), 0.0);
  EXPECT_EQ(model::late_radius_m(1e-5, -0.02, kDiffusivity_m2ps, 1.251), 0.0);
  double gone_s = 0.0;
  while (model::late_radius_m(1e-5, -0.02, kDiffusivity_m2ps, gone_s) > 0.0) gone_s += 1e-4;
  EXPECT_NEAR(gone_s * 46.63 / 50.0, 1.17, 0.006);
}

// By hand: a column of water 0.3 m below a shut valve stands 2936 Pa below 101325 Pa, so S = 0.02 *
// (101325/98389 - 1) = 5.97e-4; after 300 s R = sqrt(2 * 5.97e-4 * 2e-9 * 300) = 26.8 um and
// b/sqrt(S/2) = 1 + sqrt(S/(2 pi)) = 1.0098 more: 27.0 um.
TEST(BubbleGrowth, BubbleUnderAHangingColumnByHand) {
  const double excess = model::excess_gas_ratio(0.02, 101325.0, 101325.0 - 2936.0);
  EXPECT_NEAR(excess, 5.97e-4, 0.01e-4);
  EXPECT_NEAR(model::grown_radius_m(excess, kDiffusivity_m2ps, 300.0), 27.0e-6, 0.1e-6);
}

TEST(BubbleGrowth, BothLawsAgreeForASmallExcessAndNothingGrowsWithoutOne) {
  EXPECT_NEAR(model::grown_radius_m(1e-8, kDiffusivity_m2ps, 300.0) /
                  model::late_radius_m(0.0, 1e-8, kDiffusivity_m2ps, 300.0),
              1.0, 1e-4);
  EXPECT_EQ(model::grown_radius_m(0.0, kDiffusivity_m2ps, 300.0), 0.0);
  EXPECT_EQ(model::grown_radius_m(-0.01, kDiffusivity_m2ps, 300.0), 0.0);
  EXPECT_EQ(model::grown_radius_m(0.01, kDiffusivity_m2ps, 0.0), 0.0);
  EXPECT_EQ(model::excess_gas_ratio(0.02, 1e5, 1e5), 0.0);
  EXPECT_LT(model::excess_gas_ratio(0.02, 1e5, 5e5), 0.0);
}

TEST(BubbleGrowth, GrowsWithTheRootOfTime) {
  EXPECT_NEAR(model::grown_radius_m(0.01, kDiffusivity_m2ps, 400.0) /
                  model::grown_radius_m(0.01, kDiffusivity_m2ps, 100.0),
              2.0, 1e-12);
}
