// A valve that its voltage cannot open, against the balance of forces at rest.
#include "sim/study/tune/valve_opens.h"

#include <gtest/gtest.h>

#include <cmath>

#include "shared/units.h"
#include "tests/sim/demo_scenario.h"

namespace {

constexpr double kPressure_pa = 2e5;

}  // namespace

// At rest the coil's force Kf V/R has to beat the preload, and at most the liquid's force on the
// seat besides: V between R F/Kf of the two.
TEST(ValveOpens, FromTheVoltageThatTheForcesAskFor) {
  const sim::scenario::Scenario scenario = sim_test::quiet_demo({"row.physics=full"});
  const model::Valve& valve = scenario.attachment.valve;
  const double volt_per_newton_ratio = valve.coil.resistance_ohm / valve.coil.force_constant_npa;
  const double seat_m2 = shared::kPi_ratio / 4.0 * valve.seat.diameter_m * valve.seat.diameter_m;
  const double least_v = volt_per_newton_ratio * valve.plunger.preload_n;
  const double opens_v = sim::tune::opening_voltage_v(scenario, kPressure_pa);
  EXPECT_GT(opens_v, least_v - volt_per_newton_ratio * kPressure_pa * seat_m2 - 0.2);
  EXPECT_LT(opens_v,
            least_v +
                volt_per_newton_ratio * (kPressure_pa * seat_m2 +
                                         valve.plunger.spring_rate_npm * valve.plunger.travel_m) +
                0.2);
}

TEST(ValveOpens, AtATenthOfAVoltItStaysShut) {
  sim::scenario::Scenario scenario = sim_test::quiet_demo({"row.physics=full"});
  EXPECT_TRUE(sim::tune::valve_opens(scenario, kPressure_pa));
  scenario.supply.voltage_v = 0.1;
  EXPECT_FALSE(sim::tune::valve_opens(scenario, kPressure_pa));
}

TEST(ValveOpens, ASpringStrongerThanTheHeldCurrentOpensAtNoVoltage) {
  sim::scenario::Scenario scenario = sim_test::quiet_demo({"row.physics=full"});
  scenario.attachment.valve.plunger.preload_n = 100.0;
  EXPECT_TRUE(std::isnan(sim::tune::opening_voltage_v(scenario, kPressure_pa)));
}
