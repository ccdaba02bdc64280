// A part is put into a scenario as stated: bores, lengths, walls, and a step that fits them.
#include "sim/study/outlet/outlet_part.h"

#include <gtest/gtest.h>

#include "model/row/row_unit.h"
#include "sim/bench/row_fixed.h"
#include "sim/study/outlet/wall_materials.h"
#include "tests/sim/demo_scenario.h"

namespace {

sim::scenario::Scenario water_demo() {
  return sim_test::quiet_demo({"liquid.name=\"water\"", "liquid.temperature=\"20 C\""});
}

}  // namespace

TEST(OutletPart, StatedPartChangesNothing) {
  const sim::scenario::Scenario scenario = sim_test::quiet_demo();
  const sim::scenario::Scenario made =
      sim::outlet::with_part(scenario, sim::outlet::part_of(scenario));
  EXPECT_EQ(made.attachment.tube.wave_speed_mps, scenario.attachment.tube.wave_speed_mps);
  EXPECT_EQ(made.attachment.hose.bore_m, scenario.attachment.hose.bore_m);
  EXPECT_EQ(made.solver.step_ns, scenario.solver.step_ns);
  EXPECT_EQ(
      sim::outlet::changes_between(sim::outlet::part_of(scenario), sim::outlet::part_of(made)), 0);
}

// Polyamide 12 of 1.2 GPa, 4 mm bore, 1 mm wall, water at 20 C, anchored throughout: psi = 5.488
// and a = 446.31 m/s, worked out of Halliwell's thick-wall formula outside this program.
TEST(OutletPart, WallGivesTheWaveSpeedOfTheThickTubeFormula) {
  const sim::scenario::Scenario scenario = water_demo();
  sim::outlet::OutletPart part = sim::outlet::part_of(scenario);
  part.tube_bore_m = 4e-3;
  part.tube_wall = "polyamide 12";
  EXPECT_NEAR(sim::outlet::with_part(scenario, part).attachment.tube.wave_speed_mps, 446.31, 0.5);
}

TEST(OutletPart, RangeOfAMaterialHoldsItsTypicalSpeedAndAStatedOneHasNone) {
  const sim::scenario::Scenario scenario = water_demo();
  sim::outlet::OutletPart part = sim::outlet::part_of(scenario);
  const sim::outlet::WaveSpeedRange stated = sim::outlet::tube_wave_speeds(scenario, part);
  EXPECT_EQ(stated.least_mps, stated.most_mps);
  double softer_mps = 0.0;
  for (const sim::outlet::WallMaterial& material : sim::outlet::kWallMaterials) {
    part.tube_wall = std::string(material.name);
    const double speed_mps = sim::outlet::with_part(scenario, part).attachment.tube.wave_speed_mps;
    const sim::outlet::WaveSpeedRange range = sim::outlet::tube_wave_speeds(scenario, part);
    EXPECT_LT(range.least_mps, speed_mps) << material.name;
    EXPECT_GT(range.most_mps, speed_mps) << material.name;
    if (material.name == "copper") continue;  // stiff either way, the others rise in the list
    EXPECT_GT(speed_mps, softer_mps) << material.name;
    softer_mps = speed_mps;
  }
}

// At the usual step a stiff short tube holds fewer cells than stations; then a finer step is used.
TEST(OutletPart, StepIsMadeFineEnoughForAStiffShortTube) {
  const sim::scenario::Scenario scenario = water_demo();
  sim::outlet::OutletPart part = sim::outlet::part_of(scenario);
  part.tube_length_m = 0.1;
  part.tube_wall = "stainless steel";
  const sim::scenario::Scenario made = sim::outlet::with_part(scenario, part);
  EXPECT_LT(made.solver.step_ns, scenario.solver.step_ns);
  const model::RowUnit row(sim::bench::nominal_liquid_path(made), made.solver, 2e5);
  EXPECT_GT(row.fit().tube.whole, made.solver.tube_stations);
}

TEST(OutletPart, LongerTubeFallsInProportionAndCreepGoesWithTheOldWall) {
  sim::scenario::Scenario scenario = water_demo();
  scenario.attachment.tube.rise_m = -0.2;
  scenario.attachment.tube.creep = {{.compliance_ppa = 1e-10, .time_s = 0.05}};
  sim::outlet::OutletPart part = sim::outlet::part_of(scenario);
  part.tube_length_m *= 1.5;
  part.tube_wall = "stainless steel";
  const sim::scenario::Scenario made = sim::outlet::with_part(scenario, part);
  EXPECT_DOUBLE_EQ(made.attachment.tube.rise_m, -0.3);
  EXPECT_TRUE(made.attachment.tube.creep.empty());
}
