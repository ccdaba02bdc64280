// The break-even where hardly anything is left, where the goal is just met, and where it is missed
// without any scatter (break_even.h): within 10 mm for 95 % of the seeds.
#include <gtest/gtest.h>

#include <vector>

#include "sim/measure/break_even.h"

namespace break_even_ends {
namespace {

using sim::measure::break_even_scatter_m;

constexpr sim::measure::Goal kGoal{0.010, 0.95};

// All 9 mm ahead: 1 mm to go to one side, over the one-sided 95 % point of the normal table.
TEST(BreakEvenEnds, LessThanAMillimetreIsFoundToo) {
  const std::vector<double> ahead_m(50, 0.009);
  EXPECT_NEAR(break_even_scatter_m(ahead_m, 50, kGoal), 0.001 / 1.644854, 2e-8);
}

// 94 of 100 are exact and 6 miss by 10.1 mm: of these, scatter of 0.2 mm would bring 31 % within
// the tolerance, and 94 + 1.9 are above the goal. But without scatter it is missed already.
TEST(BreakEvenEnds, WhatScatterWouldBringInDoesNotCount) {
  std::vector<double> errors_m(94, 0.0);
  errors_m.insert(errors_m.end(), 6, 0.0101);
  ASSERT_GT(sim::measure::scattered_share_ratio(errors_m, 100, 0.0002, kGoal), 0.95);
  EXPECT_EQ(break_even_scatter_m(errors_m, 100, kGoal), 0.0);
}

// 95 exact bands of 100 meet the goal without scatter. A tolerance of ten deviations leaves 1.5e-23
// outside (normal table), so that 1 mm changes nothing that can be counted.
TEST(BreakEvenEnds, TheGoalItselfIsMet) {
  const std::vector<double> exact_m(95, 0.0);
  EXPECT_GT(break_even_scatter_m(exact_m, 100, kGoal), 1e-3);
  EXPECT_LT(break_even_scatter_m(exact_m, 100, kGoal), 2e-3) << "5 deviations: 5.7e-7 outside";
}

}  // namespace
}  // namespace break_even_ends
