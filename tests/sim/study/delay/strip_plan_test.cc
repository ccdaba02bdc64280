// A strip test's plan: bands by hand, speeds inside the table, minutes, and that its promise holds.
#include "sim/study/delay/strip_plan.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/scenario/loader.h"

// By hand: 1.96^2 (25 + 1) (1 - 1/8) = 87.4 bands per row for +-1 mm, over all runs.
TEST(StripPlan, BandsForAMillimetreByHand) {
  const auto plan = sim::delay::plan_strip({});
  EXPECT_EQ(plan.bands, std::ceil(87.4 / plan.runs()));
  EXPECT_LE(plan.trim_half_m, 1e-3);
  EXPECT_GT(plan.trim_half_m, 0.9e-3);
}

TEST(StripPlan, JudgedSpeedAndHalfOfItInsideTheTable) {
  const auto plan = sim::delay::plan_strip({.judged_mps = 4.0, .table_slowest_mps = 2.5});
  EXPECT_DOUBLE_EQ(plan.fast_mps, 4.0);
  EXPECT_DOUBLE_EQ(plan.slow_mps, 2.5);
  const auto slow = sim::delay::plan_strip({.judged_mps = 1.2});
  EXPECT_GE(slow.fast_mps, 1.3 * slow.slow_mps);
  EXPECT_GE(slow.slow_mps, 4.0 / 3.6);
  EXPECT_THROW(sim::delay::plan_strip({.table_slowest_mps = 4.0, .table_fastest_mps = 4.5}),
               sim::text::InputError);
}

// 5 l/ha over 0.75 m, bands a third of the spacing: the path's volume by hand.
TEST(StripPlan, TankHoldsTheBandsOfAllRuns) {
  const auto plan = sim::delay::plan_strip({.rows = 4,
                                            .spacing_m = 0.15,
                                            .band_length_m = 0.05,
                                            .in_band_m3pm2 = 5e-7,
                                            .row_width_m = 0.75});
  double path_m = 0.0;
  for (int run = 0; run < plan.runs(); ++run) path_m += plan.strip_m + 4.0 * plan.speed_mps(run);
  EXPECT_NEAR(plan.tank_m3, path_m * 4 * 0.75 * 5e-7 / 3.0, 1e-12);
}

// With few rows and enough readers the time is enough; else the plan says how long, and what would
// do.
TEST(StripPlan, SaysWhenTheTimeDoesNotDo) {
  const auto long_plan = sim::delay::plan_strip({.rows = 16});
  EXPECT_FALSE(long_plan.in_time);
  EXPECT_GT(long_plan.takes_s, 1200.0);
  EXPECT_GT(long_plan.in_time_trim_half_m, 1e-3);
  ASSERT_GT(long_plan.in_time_readers, 2);
  sim::delay::StripRequest more{.rows = 16};
  more.work.readers = long_plan.in_time_readers;
  const auto quick = sim::delay::plan_strip(more);
  EXPECT_TRUE(quick.in_time);
  EXPECT_LE(quick.takes_s, 1200.0);
}

// Both speeds occur equally often, in the order fast, slow, slow, fast.
TEST(StripPlan, RunsAlternateSoThatADriftFallsOnBothSpeeds) {
  const auto plan = sim::delay::plan_strip({});
  int fast = 0;
  for (int run = 0; run < plan.runs(); ++run) fast += plan.speed_mps(run) == plan.fast_mps ? 1 : 0;
  EXPECT_EQ(2 * fast, plan.runs());
  EXPECT_EQ(plan.speed_mps(1), plan.speed_mps(2));
}
