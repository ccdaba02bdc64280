#include "model/integrate.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

using Pair = std::array<double, 2>;
constexpr Tolerance kTight = {.absolute_ratio = 1e-12, .relative_ratio = 1e-10};

void oscillate(const Pair& y, Pair& rate) { rate = {y[1], -y[0]}; }

TEST(Integrate, FollowsACircle) {
  Pair y = {1.0, 0.0};
  const auto never = [](const Pair&) { return 1.0; };
  const double reached_s = integrate_until_s(y, 2.0, oscillate, never, kTight);
  EXPECT_EQ(reached_s, 2.0);
  EXPECT_NEAR(y[0], std::cos(2.0), 1e-9);
  EXPECT_NEAR(y[1], -std::sin(2.0), 1e-9);
}

TEST(Integrate, StopsWhereTheEventCrossesZero) {
  Pair y = {1.0, 0.0};
  const auto height = [](const Pair& at) { return at[0]; };
  const double reached_s = integrate_until_s(y, 3.0, oscillate, height, kTight);
  EXPECT_NEAR(reached_s, 1.5707963267948966, 1e-8);
  EXPECT_LE(y[0], 0.0);
  EXPECT_GT(y[0], -1e-9);
}

TEST(IntegrateDeath, RefusesAnEmptySpan) {
  Pair y = {1.0, 0.0};
  const auto never = [](const Pair&) { return 1.0; };
  EXPECT_DEATH(integrate_until_s(y, 0.0, oscillate, never, kTight), "precondition");
}

}  // namespace
}  // namespace model
