// The reproducible functions against identities that need no other library.
#include "model/reproducible_math.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace model {
namespace {

constexpr double kUlp_ratio = std::numeric_limits<double>::epsilon();

TEST(ReproducibleMath, ExactPointsAreExact) {
  EXPECT_EQ(exp_of(0.0), 1.0);
  EXPECT_EQ(log_of(1.0), 0.0);
  EXPECT_EQ(sin_of(0.0), 0.0);
  EXPECT_EQ(cos_of(0.0), 1.0);
  EXPECT_EQ(tan_of(0.0), 0.0);
  EXPECT_EQ(pow_of(2.0, 10.0), 1024.0);
  EXPECT_EQ(acosh_of(1.0), 0.0);
}

// Digits of e, ln 2, pi/4 and sqrt(2) as every table of constants prints them.
TEST(ReproducibleMath, KnownConstantsToOneUnitInTheLastPlace) {
  EXPECT_NEAR(exp_of(1.0), 2.718281828459045235, 2.0 * 2.7 * kUlp_ratio);
  EXPECT_NEAR(log_of(2.0), 0.693147180559945309, kUlp_ratio);
  EXPECT_NEAR(atan2_of(1.0, 1.0), 0.785398163397448310, kUlp_ratio);
  EXPECT_NEAR(pow_of(2.0, 0.5), 1.414213562373095049, 2.0 * kUlp_ratio);
  EXPECT_NEAR(acosh_of(std::sqrt(2.0)), 0.881373587019543025, 4.0 * kUlp_ratio);
}

TEST(ReproducibleMath, IdentitiesHoldOverARange) {
  for (double x = -5.0; x < 5.0; x += 0.37) {
    EXPECT_NEAR(sin_of(x) * sin_of(x) + cos_of(x) * cos_of(x), 1.0, 4.0 * kUlp_ratio);
    EXPECT_NEAR(exp_of(x) * exp_of(-x), 1.0, 4.0 * kUlp_ratio);
    EXPECT_NEAR(log_of(exp_of(x)), x, 8.0 * kUlp_ratio);
    EXPECT_NEAR(expm1_of(x) - exp_of(x), -1.0, 4.0 * kUlp_ratio * (1.0 + exp_of(x)));
    EXPECT_NEAR(tan_of(x) * cos_of(x), sin_of(x), 4.0 * kUlp_ratio);
  }
}

TEST(ReproducibleMath, SmallArgumentsKeepTheirDigits) {
  EXPECT_NEAR(expm1_of(1e-12) / 1e-12, 1.0 + 5e-13, 1e-15);
}

}  // namespace
}  // namespace model
