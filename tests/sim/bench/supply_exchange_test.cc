#include "sim/bench/supply_exchange.h"

#include <gtest/gtest.h>

#include <vector>

#include "model/machine/supply.h"
#include "tests/sim/demo_scenario.h"

namespace {

TEST(SupplyExchange, WithoutManifoldAndHarnessASlotIsOnePiece) {
  const sim::scenario::Scenario scenario = sim_test::quiet_demo();
  sim::bench::SupplyExchange exchange(scenario);
  EXPECT_EQ(exchange.steps_a_slot(shared::milliseconds(10)), 1);
  sim::bench::RegulatorState regulator{.setpoint_pa = 2e5, .pressure_pa = 1.7e5};
  const sim::bench::SharedSupply met = exchange.plan(regulator, 0.01);
  EXPECT_EQ(met.regulator.pressure_pa, 1.7e5);
  EXPECT_EQ(met.share.compliance_m3ppa, 0.0);
  EXPECT_FALSE(met.sags);
  const std::vector<sim::bench::RowDraw> draws(2, {.inlet_volume_m3 = 1e-6, .charge_as = 0.02});
  exchange.book(draws, 0.01, regulator);
  EXPECT_EQ(regulator.pressure_pa, 1.7e5);
}

// Two rows of 2 A through 10 ms are 2 * 0.02 A s: 4 A together in the next step.
TEST(SupplyExchange, SumsTheRowsCurrents) {
  const sim::scenario::Scenario scenario =
      sim_test::quiet_demo({"supply.harness_resistance=\"0.05 ohm\""});
  sim::bench::SupplyExchange exchange(scenario);
  EXPECT_EQ(exchange.steps_a_slot(shared::milliseconds(10)), 10);
  sim::bench::RegulatorState regulator;
  exchange.plan(regulator, 0.01);
  const std::vector<sim::bench::RowDraw> draws(2, {.charge_as = 0.02});
  exchange.book(draws, 0.01, regulator);
  EXPECT_TRUE(exchange.plan(regulator, 0.01).sags);
  EXPECT_DOUBLE_EQ(exchange.plan(regulator, 0.01).rows_a, 4.0);
}

// By hand: eight coils of 2.5 A through 50 mohm are 1.0 V, a row's own 0.1 ohm another 0.25 V.
TEST(SupplyExchange, TheVoltageSagsByOhmsLaw) {
  const model::Harness harness{.common_ohm = 0.05, .row_ohm = 0.1};
  EXPECT_NEAR(model::driver_voltage_v(12.6, 7 * 2.5, 2.5, harness), 11.35, 1e-12);
  EXPECT_EQ(model::driver_voltage_v(12.6, 0.0, 0.0, harness), 12.6);
  EXPECT_EQ(model::driver_voltage_v(12.6, 1e4, 2.5, harness), 0.0);
  // a coil in fast decay gives its current back
  EXPECT_GT(model::driver_voltage_v(12.6, 0.0, -2.5, harness), 12.6);
}

TEST(SupplyExchange, WithAManifoldTheRegulatorShowsItsPressure) {
  const sim::scenario::Scenario scenario =
      sim_test::quiet_demo({"supply.pump_flow=\"12 l/min\"", "supply.manifold_volume=\"2 l\"",
                            "supply.manifold_modulus=\"200 bar\"", "supply.exchange=\"0.5 ms\""});
  sim::bench::SupplyExchange exchange(scenario);
  EXPECT_EQ(exchange.steps_a_slot(shared::milliseconds(10)), 20);
  sim::bench::RegulatorState regulator{.setpoint_pa = 2e5, .pressure_pa = 0.2e5};
  const sim::bench::SharedSupply met = exchange.plan(regulator, 1e-3);
  EXPECT_DOUBLE_EQ(met.share.compliance_m3ppa, 1e-10 / scenario.row.count);
  EXPECT_DOUBLE_EQ(met.share.pressure_pa, 0.2e5);
  EXPECT_GT(met.share.fed_m3ps, 0.0);
  const std::vector<sim::bench::RowDraw> draws(2);
  exchange.book(draws, 1e-3, regulator);
  // 12 l/min for 1 ms into 1e-10 m3/Pa: just below 2 kPa, as the pump slips a little
  EXPECT_GT(regulator.pressure_pa, 0.2e5 + 1.9e3);
  EXPECT_LT(regulator.pressure_pa, 0.2e5 + 2e3);
}

}  // namespace
