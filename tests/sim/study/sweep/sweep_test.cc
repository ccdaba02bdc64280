#include "sim/study/sweep/sweep.h"

#include <gtest/gtest.h>

#include "sim/study/sweep/study.h"
#include "tests/sim/demo_scenario.h"

namespace {

sim::sweep::Study small_study() {
  return {.name = "small",
          .title = "small",
          .base = std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
          .sets = {"seeds=40", "row.count=2", "controller.row_trim=false"},
          .axes = {{"travel.speed", {"8 km/h", "16 km/h"}},
                   {"attachment.outlet_offset", {"60 mm", "-100 mm"}}},
          .replicas = 2,
          .rng_key = 9,
          .shown = {}};
}

TEST(Sweep, CellsStandInOrderWithTheLastAxisFastest) {
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(small_study());
  ASSERT_EQ(result.cells.size(), 4u);
  EXPECT_EQ(result.cells[0].values, (std::vector<std::string>{"8 km/h", "60 mm"}));
  EXPECT_EQ(result.cells[1].values, (std::vector<std::string>{"8 km/h", "-100 mm"}));
  EXPECT_EQ(result.cells[2].values, (std::vector<std::string>{"16 km/h", "60 mm"}));
  EXPECT_EQ(result.cells[0].summary.all.seeds.placed, 2 * 2 * 40);  // rows, replicas, seeds
}

TEST(Sweep, ACellThatCannotBeServedSaysSoAndNamesTheOffset) {
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(small_study());
  EXPECT_TRUE(result.cells[2].servable);
  EXPECT_FALSE(result.cells[3].servable);
  EXPECT_GT(result.cells[3].tuned.smallest_offset_m, -0.1);
  EXPECT_EQ(result.cells[3].summary.all.seeds.placed, 0);
}

TEST(Sweep, AOneCellSweepIsTheRun) {
  sim::sweep::Study study = small_study();
  study.axes = {{"travel.speed", {"16 km/h"}}};
  study.replicas = 1;
  const sim::sweep::SweepResult result = sim::sweep::run_sweep(study);
  auto scenario = sim::scenario::load_scenario(study.base, study.sets);
  scenario.rng_key = study.rng_key;
  const sim::run::RunResult run = sim::run::run_scenario(scenario);
  EXPECT_EQ(result.cells[0].summary.all.placement_error.mean_m,
            run.summary.all.placement_error.mean_m);
  EXPECT_EQ(result.cells[0].summary.all.applied_volume_m3, run.summary.all.applied_volume_m3);
}

}  // namespace
