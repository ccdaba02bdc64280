// How the progress of a run is shared out among its parts.
#include "sim/study/run/run_parts.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

#include "sim/study/run/run.h"
#include "tests/sim/demo_scenario.h"

namespace {

TEST(RunParts, AStripTestTakesItsShareOnlyWhereThereIsOne) {
  const sim::run::RunParts with = sim::run::parts_of_run(sim_test::demo());
  EXPECT_GT(with.strip_from_ratio, 0.0);
  EXPECT_GT(with.pass_from_ratio, with.strip_from_ratio);
  EXPECT_LT(with.pass_from_ratio, 1.0);
  const sim::run::RunParts without =
      sim::run::parts_of_run(sim_test::demo({"controller.row_trim=false"}));
  EXPECT_EQ(without.pass_from_ratio, without.strip_from_ratio);
  EXPECT_EQ(sim::run::part_under_way(with, 0.0), "delay table");
  EXPECT_EQ(sim::run::part_under_way(with, with.strip_from_ratio), "strip test");
  EXPECT_EQ(sim::run::part_under_way(with, 1.0), "pass");
  EXPECT_EQ(sim::run::part_under_way(without, without.strip_from_ratio), "pass");
}

// Tuning and strip test report their progress while they run, not only when they have ended.
TEST(RunParts, EveryPartOfARunTellsHowFarItIs) {
  const sim::scenario::Scenario scenario =
      sim_test::demo({"seeds=20", "row.count=1", "controller.strip_test_bands=5",
                      "liquid.temperature=11.25 C"});  // tuned by no other test of this process
  const sim::run::RunParts parts = sim::run::parts_of_run(scenario);
  std::vector<double> told_ratio;
  sim::run::run_scenario(scenario,
                         {.on_progress = [&](double done) { told_ratio.push_back(done); }});
  EXPECT_TRUE(std::is_sorted(told_ratio.begin(), told_ratio.end()));
  EXPECT_DOUBLE_EQ(told_ratio.back(), 1.0);
  const auto times_in = [&](double from_ratio, double to_ratio) {
    return std::count_if(told_ratio.begin(), told_ratio.end(), [&](double done_ratio) {
      return done_ratio > from_ratio && done_ratio < to_ratio;
    });
  };
  EXPECT_GE(times_in(0.0, parts.strip_from_ratio), SILLION_TABLE_POINTS);
  EXPECT_GT(times_in(parts.strip_from_ratio, parts.pass_from_ratio), 10);
  EXPECT_GT(times_in(parts.pass_from_ratio, 1.0), 10);
}

}  // namespace
