#include "model/fluid/wall_friction.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

// j_{2,1}^2 to 12 digits: tables of Bessel zeros, e.g. Abramowitz and Stegun, table 9.5.
TEST(WallFriction, SlowestRateIsTheFirstZeroOfJ2Squared) {
  EXPECT_NEAR(kSlowestKernelRate_ratio, 5.13562230184 * 5.13562230184, 1e-9);
  const double late_ratio = exact_kernel_ratio(1.0) / exact_kernel_ratio(1.1);
  EXPECT_NEAR(std::log(late_ratio) / 0.1, kSlowestKernelRate_ratio, 1e-6);
}

// Zielke 1968: W = 0.282095 / sqrt(tau) - 1.25 + 1.057855 sqrt(tau) + ... at short times; the
// leading coefficient is 1 / (2 sqrt(pi)).
TEST(WallFriction, ShortTimesFollowTheRootLaw) {
  const double tau_ratio = 1e-8;
  EXPECT_NEAR(exact_kernel_ratio(tau_ratio), 0.28209479 / 1e-4 - 1.25 + 1.057855e-4, 1e-3);
}

TEST(WallFriction, BothBranchesMeet) {
  const double below_ratio = exact_kernel_ratio(0.01 * (1.0 - 1e-12));
  EXPECT_NEAR(below_ratio / exact_kernel_ratio(0.01), 1.0, 1e-10);
  EXPECT_NEAR(exact_kernel_integral_ratio(0.01 * (1.0 - 1e-12)) / exact_kernel_integral_ratio(0.01),
              1.0, 1e-10);
}

// Sum over n of 1/j_{2,n}^2 = 1/12 (Rayleigh): the laminar profile's inertia is 4/3 of the plug's.
TEST(WallFriction, IntegralTendsToOneTwelfth) {
  EXPECT_NEAR(exact_kernel_integral_ratio(5.0), 1.0 / 12.0, 1e-14);
}

TEST(WallFriction, IntegralIsTheAreaUnderTheKernel) {
  double area_ratio = 0.0;
  const int slices = 20000;  // midpoint rule in the variable sqrt(tau), where the integrand is flat
  const double end_ratio = std::sqrt(0.05);
  for (int i = 0; i < slices; ++i) {
    const double root_ratio = (i + 0.5) / slices * end_ratio;
    area_ratio +=
        exact_kernel_ratio(root_ratio * root_ratio) * 2.0 * root_ratio * end_ratio / slices;
  }
  EXPECT_NEAR(exact_kernel_integral_ratio(0.05), area_ratio, 1e-9);
}

// The study in the design notes found errors of 6 to 12 % with 5 terms, 0.3 % only with 9 or more.
TEST(WallFriction, FitTightensWithEveryTerm) {
  double before_ratio = 1.0;
  for (const int count : {2, 3, 4, 5, 6, 8}) {
    const auto terms = fit_kernel(count, 2e-5);
    const double error_ratio = kernel_sum_error_ratio(terms, 2e-5, kKernelFitEnd_ratio);
    EXPECT_LT(error_ratio, before_ratio) << count;
    before_ratio = error_ratio;
    for (const KernelTerm& term : terms) {
      EXPECT_GT(term.weight_ratio, 0.0);
      EXPECT_GT(term.rate_ratio, 0.0);
    }
  }
  EXPECT_LT(kernel_sum_error_ratio(fit_kernel(5, 2e-5), 2e-5, kKernelFitEnd_ratio), 0.12);
  EXPECT_LT(kernel_sum_error_ratio(fit_kernel(9, 2e-5), 2e-5, kKernelFitEnd_ratio), 0.006);
}

TEST(WallFriction, FitHoldsOverTheRangesOfThinAndThickLiquids) {
  // From water in an 8 mm tube to 60 mPa s in a 4 mm one at 10 us.
  for (const double tau_min_ratio : {6e-7, 2.5e-6, 2e-5, 1.3e-4})
    EXPECT_LT(
        kernel_sum_error_ratio(fit_kernel(5, tau_min_ratio), tau_min_ratio, kKernelFitEnd_ratio),
        0.22)
        << tau_min_ratio;
}

TEST(WallFriction, TailOfTheFitIsKept) {
  // After the first step the sum must have as much left as the kernel, or it would add inertia.
  for (const int count : {5, 6, 8}) {
    const double tau_ratio = 2e-5;
    double tail_ratio = 0.0;
    for (const KernelTerm& term : fit_kernel(count, tau_ratio))
      tail_ratio += term.weight_ratio * std::exp(-term.rate_ratio * tau_ratio) / term.rate_ratio;
    const double exact_ratio = 1.0 / 12.0 - exact_kernel_integral_ratio(tau_ratio);
    EXPECT_NEAR(tail_ratio / exact_ratio, 1.0, 0.02) << count;
  }
}

TEST(WallFrictionDeath, RefusesTimeZero) {
  EXPECT_DEATH(exact_kernel_ratio(0.0), "precondition");
  EXPECT_DEATH(fit_kernel(0, 1e-5), "precondition");
}

}  // namespace
}  // namespace model
