// Limits of normal, t and chi-square against printed tables and against Boost's own functions.
#include "sim/statistics/quantiles.h"

#include <gtest/gtest.h>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

using sim::statistics::chi_square_quantile_ratio;
using sim::statistics::normal_quantile_ratio;
using sim::statistics::student_quantile_ratio;

// Source: NIST/SEMATECH e-Handbook of Statistical Methods, tables 1.3.6.7.1 to 1.3.6.7.4, from
// memory; printed to three decimals.
TEST(Quantiles, NormalAsPrinted) {
  EXPECT_NEAR(normal_quantile_ratio(0.975), 1.960, 5e-4);
  EXPECT_NEAR(normal_quantile_ratio(0.995), 2.576, 5e-4);
  EXPECT_NEAR(normal_quantile_ratio(0.05), -1.645, 5e-4);
}

TEST(Quantiles, StudentAsPrinted) {
  EXPECT_NEAR(student_quantile_ratio(0.975, 1), 12.706, 5e-4);
  EXPECT_NEAR(student_quantile_ratio(0.975, 2), 4.303, 5e-4);
  EXPECT_NEAR(student_quantile_ratio(0.975, 5), 2.571, 5e-4);
  EXPECT_NEAR(student_quantile_ratio(0.975, 21), 2.080, 5e-4);
  EXPECT_NEAR(student_quantile_ratio(0.975, 100), 1.984, 5e-4);
  EXPECT_NEAR(student_quantile_ratio(0.999, 4), 7.173, 5e-4);
  EXPECT_NEAR(student_quantile_ratio(0.05, 10), -1.812, 5e-4);
}

TEST(Quantiles, ChiSquareAsPrinted) {
  EXPECT_NEAR(chi_square_quantile_ratio(0.95, 1), 3.841, 5e-4);
  EXPECT_NEAR(chi_square_quantile_ratio(0.95, 2), 5.991, 5e-4);
  EXPECT_NEAR(chi_square_quantile_ratio(0.999, 1), 10.828, 5e-4);
  EXPECT_NEAR(chi_square_quantile_ratio(0.999, 5), 20.515, 5e-4);
  EXPECT_NEAR(chi_square_quantile_ratio(0.999, 10), 29.588, 5e-4);
  EXPECT_NEAR(chi_square_quantile_ratio(0.95, 100), 124.342, 5e-4);
  EXPECT_NEAR(chi_square_quantile_ratio(0.025, 10), 3.247, 5e-4);
}

// Between the rows of the tables and far out, where limits for many points lie.
TEST(Quantiles, AgreeWithAnIndependentLibrary) {
  for (const double below_frac : {1e-9, 0.001, 0.3, 0.5, 0.975, 0.9999, 1.0 - 1e-7}) {
    EXPECT_NEAR(normal_quantile_ratio(below_frac),
                quantile(boost::math::normal_distribution<>(), below_frac), 1e-7);
    for (const int freedom : {1, 2, 3, 4, 7, 8, 31, 120}) {
      const double t_ratio = quantile(boost::math::students_t_distribution<>(freedom), below_frac);
      EXPECT_NEAR(student_quantile_ratio(below_frac, freedom), t_ratio,
                  1e-5 * std::abs(t_ratio) + 1e-9)
          << below_frac << " " << freedom;
      const double chi_ratio =
          quantile(boost::math::chi_squared_distribution<>(freedom), below_frac);
      EXPECT_NEAR(chi_square_quantile_ratio(below_frac, freedom), chi_ratio,
                  1e-6 * chi_ratio + 1e-6)
          << below_frac << " " << freedom;
    }
  }
}

// Wilson and Hilferty's cube root takes over above 300 degrees: better than 1e-4 of the value
// there.
TEST(Quantiles, ManyDegreesOfFreedomByTheCubeRoot) {
  for (const double below_frac : {0.001, 0.95, 0.999}) {
    const double exact = quantile(boost::math::chi_squared_distribution<>(400), below_frac);
    EXPECT_NEAR(chi_square_quantile_ratio(below_frac, 400) / exact, 1.0, 1e-4);
  }
}
