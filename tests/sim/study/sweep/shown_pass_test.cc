// The pass that a sweep's report shows is what `run` gives for that cell, though it runs but once.
#include "sim/study/sweep/shown_pass.h"

#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include "sim/scenario/loader.h"
#include "sim/study/sweep/study.h"

namespace {

sim::sweep::Study small_study() {
  return {.name = "small",
          .title = "small",
          .base = std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
          .sets = {"seeds=30", "row.count=2", "controller.strip_test_bands=5"},
          .axes = {{"travel.speed", {"8 km/h", "16 km/h"}}},
          .replicas = 2,
          .rng_key = 9,
          .shown = {"16 km/h"}};
}

TEST(ShownPass, IsTheRunOfThatCellWithAnyNumberOfThreads) {
  namespace tbb = oneapi::tbb;
  std::vector<double> means_m;
  for (const std::size_t threads : {1u, 2u, 5u}) {
    const tbb::global_control most(tbb::global_control::max_allowed_parallelism, threads);
    const sim::sweep::SweepResult swept = sim::sweep::run_sweep(small_study());
    ASSERT_EQ(swept.shown_cell, 1u);
    const sim::run::RunResult run = sim::run::run_scenario(swept.cells[1].scenario);
    EXPECT_EQ(swept.shown.trim_um, run.trim_um);
    EXPECT_EQ(swept.shown.record.watched.seed, run.record.watched.seed);
    EXPECT_EQ(swept.shown.record.history.time_s, run.record.history.time_s);
    EXPECT_EQ(swept.shown.record.history.lift_m, run.record.history.lift_m);
    EXPECT_EQ(swept.shown.summary.all.placement_error.mean_m,
              run.summary.all.placement_error.mean_m);
    EXPECT_EQ(swept.shown.record.simulated_s, run.record.simulated_s);
    means_m.push_back(swept.cells[0].summary.all.placement_error.mean_m);
    EXPECT_EQ(means_m.back(), means_m.front());
  }
}

// A cell that an earlier sweep left has no pass in this process: it runs for the report.
TEST(ShownPass, RunsWhereTheCellWasFound) {
  std::vector<sim::sweep::FinishedCell> left(2);
  const sim::sweep::SweepResult first = sim::sweep::run_sweep(
      small_study(),
      {.keep = [&](const sim::sweep::CellPlan& plan, const sim::sweep::FinishedCell& done) {
        left[plan.group] = done;
      }});
  ASSERT_TRUE(left[1].cell.served());
  const sim::sweep::SweepResult again = sim::sweep::run_sweep(
      small_study(),
      {.find = [&](const sim::sweep::CellPlan& plan) { return std::optional(left[plan.group]); }});
  EXPECT_EQ(again.shown.trim_um, first.shown.trim_um);
  EXPECT_EQ(again.shown.record.history.time_s, first.shown.record.history.time_s);
}

}  // namespace
