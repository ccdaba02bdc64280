// The row of a unit against the rig's run of the same part.
#include "sim/study/unit/row_instance.h"

#include <gtest/gtest.h>

#include "model/valve/copper.h"
#include "sim/study/rig/rig.h"
#include "sim/text/input_error.h"
#include "tests/sim/study/unit/unit_cases.h"

namespace {

sim::unit::UnitContents contents() {
  return {.scenario = sim::unit::carried(unit_cases::row_scenario())};
}

// One pulse of 12 ms. The rig counts the instants of its steps in seconds as reals, so the share of
// a step at an edge may differ in its last bit: hence a part in a billion and not the same bits,
// which tests/sim/study/unit/imported_unit_test.cc asks of the row stepped directly.
TEST(RowInstance, GivesTheVolumeOfTheRig) {
  const sim::unit::UnitContents made = contents();
  const sim::scenario::Scenario& scenario = made.scenario;
  sim::rig::RigSetup setup;
  setup.liquid = scenario.liquid;
  setup.part = scenario.attachment;
  setup.part.valve.wear = {};
  setup.part.valve.coil.temperature_k = model::kTwentyCelsius_k;
  setup.gas = {.volume_m3 = scenario.attachment.gas_volume_m3,
               .place = scenario.attachment.gas_place};
  setup.solver = scenario.solver;
  setup.supply_pa = 3e5;
  setup.drive = {.first_on_s = 2e-3, .on_time_s = 12e-3, .pulses = 1, .supply_v = 12.6};
  setup.record.duration_s = 60e-3;
  const sim::rig::RigResult rig = sim::rig::run_rig(setup);

  sim::unit::UnitInputs inputs = sim::unit::start_inputs(made);
  inputs.supply_pressure_pa = 3e5;
  inputs.supply_voltage_v = 12.6;
  sim::unit::RowInstance row(made, inputs);
  row.advance(shared::instant_of(2e-3));
  inputs.command = true;
  row.set(inputs, shared::instant_of(2e-3));
  row.advance(shared::instant_of(14e-3));
  inputs.command = false;
  row.set(inputs, shared::instant_of(14e-3));
  row.advance(shared::instant_of(rig.simulated_s));
  EXPECT_GT(rig.balance.out_m3, 1e-8);
  EXPECT_NEAR(row.outputs().total_volume_m3, rig.balance.out_m3, 1e-9 * rig.balance.out_m3);
}

// A row at rest under pressure stays at rest.
TEST(RowInstance, StaysAtRestWithoutACommand) {
  const sim::unit::UnitContents made = contents();
  sim::unit::RowInstance row(made, sim::unit::start_inputs(made));
  row.advance(shared::instant_of(50e-3));
  EXPECT_EQ(row.outputs().lift_m, 0.0);
  EXPECT_LT(row.outputs().total_volume_m3, 1e-12);
}

TEST(RowInstance, RefusesValuesThatNoRowHas) {
  const sim::unit::UnitContents made = contents();
  sim::unit::UnitInputs inputs = sim::unit::start_inputs(made);
  inputs.outlet_plugged_ratio = 1.5;
  EXPECT_THROW(sim::unit::RowInstance(made, inputs), sim::text::InputError);
  inputs.outlet_plugged_ratio = 0.0;
  inputs.supply_pressure_pa = -1.0;
  EXPECT_THROW(sim::unit::RowInstance(made, inputs), sim::text::InputError);
}

}  // namespace
