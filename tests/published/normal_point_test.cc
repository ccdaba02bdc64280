// Quantiles of the normal and of Student's distribution against printed tables.
//
// Source   normal: M. J. Wichura, Algorithm AS 241, Applied Statistics 37, 1988, the three values
//          that the paper gives for a check of PPND16 (from memory); Student: NIST/SEMATECH
//          e-Handbook of Statistical Methods, table 1.3.6.7.2 (from memory)
#include "sim/statistics/normal_point.h"

#include <gtest/gtest.h>

#include <boost/math/distributions/students_t.hpp>
#include <cmath>

#include "shared/units.h"
#include "sim/statistics/quantiles.h"

namespace {

TEST(NormalPoint, WichurasThreeValues) {
  EXPECT_NEAR(sim::statistics::normal_point_ratio(0.25), -0.6744897501960817, 1e-15);
  EXPECT_NEAR(sim::statistics::normal_point_ratio(0.001), -3.090232306167814, 4e-15);
  EXPECT_NEAR(sim::statistics::normal_point_ratio(1e-20), -9.262340089798408, 2e-14);
}

TEST(NormalPoint, IsOddAboutTheMedianAndUndoesTheShare) {
  EXPECT_EQ(sim::statistics::normal_point_ratio(0.5), 0.0);
  for (const double share_ratio : {0.03, 0.0745, 0.0755, 0.3, 0.499}) {
    const double x_ratio = sim::statistics::normal_point_ratio(share_ratio);
    EXPECT_NEAR(sim::statistics::normal_point_ratio(1.0 - share_ratio), -x_ratio, 1e-13)
        << share_ratio;
    EXPECT_NEAR(sim::statistics::normal_share_ratio(x_ratio), share_ratio, 1e-15) << share_ratio;
  }
}

double two_sided_ratio(double miss_ratio, int freedom) {
  return sim::statistics::student_quantile_ratio(1.0 - 0.5 * miss_ratio, freedom);
}

struct Row {
  int freedom;
  double two_sided_95_ratio;
  double two_sided_99_ratio;
};

TEST(StudentQuantile, TheTable) {
  const Row rows[] = {{1, 12.706, 63.657}, {2, 4.303, 9.925},  {3, 3.182, 5.841},
                      {5, 2.571, 4.032},   {10, 2.228, 3.169}, {30, 2.042, 2.750},
                      {100, 1.984, 2.626}};
  for (const Row& row : rows) {
    EXPECT_NEAR(two_sided_ratio(0.05, row.freedom), row.two_sided_95_ratio, 6e-4) << row.freedom;
    EXPECT_NEAR(two_sided_ratio(0.01, row.freedom), row.two_sided_99_ratio, 6e-4) << row.freedom;
  }
}

// n = 1 is Cauchy's, P(|T| <= t) = 2/pi atan t; n = 2 has P = t / sqrt(2 + t^2) by integration.
TEST(StudentQuantile, ClosedFormsOfOneAndTwo) {
  for (const double miss_ratio : {0.2, 0.05, 0.005}) {
    const double inside_ratio = 1.0 - miss_ratio;
    EXPECT_NEAR(two_sided_ratio(miss_ratio, 1) / std::tan(0.5 * shared::kPi_ratio * inside_ratio),
                1.0, 1e-12);
    EXPECT_NEAR(two_sided_ratio(miss_ratio, 2) /
                    (inside_ratio * std::sqrt(2.0 / (1.0 - inside_ratio * inside_ratio))),
                1.0, 1e-12);
  }
}

TEST(StudentQuantile, AgreesWithALibraryAtLevelsThatNoTablePrints) {
  for (const int freedom : {1, 2, 7, 24, 133, 1000})
    for (const double miss_ratio : {0.0125, 0.05 / 39.0, 0.0005}) {
      const boost::math::students_t library(static_cast<double>(freedom));
      const double wanted_ratio =
          boost::math::quantile(boost::math::complement(library, 0.5 * miss_ratio));
      EXPECT_NEAR(two_sided_ratio(miss_ratio, freedom) / wanted_ratio, 1.0, 1e-9)
          << freedom << " " << miss_ratio;
    }
}

}  // namespace
