// Stated times: what is expected before anything is known. machine_pace_slow_test.cc compares
// --dry-run with the time that a run then takes.
#include "sim/command/machine_pace.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/command/progress.h"

namespace sim::command {
namespace {

// Two cores, pieces of 3, 1, 1, 1 and 2 s in this order: one core takes 3 and 2, the other 1, 1, 1.
TEST(MachinePace, PiecesFillTheCoresInTheirOrder) {
  EXPECT_EQ(last_end_s(std::vector<double>{3.0, 1.0, 1.0, 1.0, 2.0}, 2), 5.0);
  EXPECT_EQ(last_end_s(std::vector<double>{3.0, 1.0}, 8), 3.0);
  EXPECT_EQ(last_end_s(std::vector<double>{3.0, 1.0}, 1), 4.0);
  EXPECT_EQ(last_end_s(std::vector<double>{}, 2), 0.0);
}

TEST(Progress, TheRestIsExpectedUntilSomeOfItIsKnown) {
  const ExpectedWork work{.row_s = 1000.0, .wall_s = 100.0};
  EXPECT_DOUBLE_EQ(left_s(work, 10.0, 0.0, 0.0), 90.0);
  EXPECT_TRUE(std::isnan(left_s(work, 110.0, 0.01, 0.0)));
  EXPECT_DOUBLE_EQ(left_s(work, 10.0, 0.25, 0.0), 30.0);
  // nine tenths were found: a twentieth took 10 s, so the last twentieth takes as long
  EXPECT_NEAR(left_s(work, 10.0, 0.95, 0.9), 10.0, 1e-9);
  EXPECT_NEAR(left_s(work, 2.0, 0.9, 0.9), 8.0, 1e-9);
  EXPECT_TRUE(std::isnan(left_s({}, 1.0, 0.0, 0.0)));
}

}  // namespace
}  // namespace sim::command
