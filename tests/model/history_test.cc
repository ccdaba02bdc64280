// The values that an ideal end gets: means over a step, worked by hand.
#include "model/history.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

TEST(History, IsHeldBeforeItsFirstKnotAndAfterItsLast) {
  const History history{.knots = {{1.0, 3.0}, {2.0, 5.0}}};
  EXPECT_EQ(history.first(), 3.0);
  EXPECT_EQ(history_mean(history, 0.0, 0.5), 3.0);
  EXPECT_EQ(history_mean(history, 7.0, 8.0), 5.0);
}

TEST(History, TakesTheMeanOfAStraightPiece) {
  const History history{.knots = {{0.0, 0.0}, {4.0, 8.0}}};
  EXPECT_EQ(history_mean(history, 1.0, 2.0), 3.0);
}

// 1 s of 2 and 3 s of 10 in a step of 4 s.
TEST(History, SharesAJumpWithinAStep) {
  const History history{.knots = {{0.0, 2.0}, {1.0, 2.0}, {1.0, 10.0}}};
  EXPECT_DOUBLE_EQ(history_mean(history, 0.0, 4.0), 8.0);
}

// A jump at t = 0 acts from the first step on: nothing of the value before it is left.
TEST(History, AJumpAtTheStartIsWhole) {
  const History history{.knots = {{0.0, 7.0}, {0.0, 1.0}}};
  EXPECT_EQ(history.first(), 7.0);
  EXPECT_EQ(history_mean(history, 0.0, 1e-6), 1.0);
}

// Trapezoid 0 1 1 0 over 3 s: area 2, over a step that holds it whole.
TEST(History, KeepsTheAreaOfATrapezoid) {
  const History history{.knots = {{0.0, 0.0}, {1.0, 1.0}, {2.0, 1.0}, {3.0, 0.0}}};
  EXPECT_DOUBLE_EQ(history_mean(history, -1.0, 4.0), 2.0 / 5.0);
  double area = 0.0;
  for (int i = 0; i < 30; ++i) area += 0.1 * history_mean(history, 0.1 * i, 0.1 * (i + 1));
  EXPECT_NEAR(area, 2.0, 1e-14);
}

// Mean of m + A sin(w t) from 0 to a quarter period: m + 2 A / pi.
TEST(History, MeansOfASineAreExact) {
  const History history{.mean = 5.0, .amplitude = 3.0, .frequency_hz = 0.25};
  EXPECT_NEAR(history_mean(history, 0.0, 1.0), 5.0 + 6.0 / shared::kPi_ratio, 1e-14);
  EXPECT_EQ(history_mean(history, -2.0, -1.0), 5.0);
  EXPECT_NEAR(history_mean(history, 0.0, 4.0), 5.0, 1e-14);
}

}  // namespace
}  // namespace model
