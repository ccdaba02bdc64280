#include "sim/bench/supply_line.h"

#include <gtest/gtest.h>

#include <cmath>

namespace {

TEST(SupplyLine, TheRegulatorCoversSixtyThreePercentOfAStepInOneLag) {
  sim::scenario::SupplySection supply{
      .pressure_pa = 6e5, .pressure_min_pa = 1e4, .pressure_lag_s = 0.2};
  sim::bench::RegulatorState regulator{.setpoint_pa = 3e5, .pressure_pa = 1e5};
  for (int slot = 0; slot < 20; ++slot) sim::bench::advance_regulator(regulator, supply, 0.01);
  EXPECT_NEAR(regulator.pressure_pa, 1e5 + 2e5 * (1.0 - std::exp(-1.0)), 1e-3);
}

TEST(SupplyLine, TheRegulatorNeverPassesWhatThePumpHolds) {
  sim::scenario::SupplySection supply{
      .pressure_pa = 4e5, .pressure_min_pa = 1e4, .pressure_lag_s = 0.0};
  sim::bench::RegulatorState regulator{.setpoint_pa = 9e5, .pressure_pa = 1e5};
  sim::bench::advance_regulator(regulator, supply, 0.01);
  EXPECT_EQ(regulator.pressure_pa, 4e5);
}

// A sine turned 100 000 times by one rotation stays the sine: the amplitude must not creep.
TEST(SupplyLine, ATurningSineStaysASine) {
  auto sine = sim::bench::turning_sine(20.0, 0.3, 1.5, 1e-5);
  for (int step = 0; step < 100'000; ++step) sine.turn();
  const double angle_rad = 2.0 * M_PI * 20.0 * 2.5 + 0.3;
  EXPECT_NEAR(sine.sine_ratio, std::sin(angle_rad), 1e-9);
  EXPECT_NEAR(sine.cosine_ratio, std::cos(angle_rad), 1e-9);
}

TEST(SupplyLine, RippleRidesOnTheSmoothPressure) {
  sim::scenario::Scenario scenario;
  scenario.noise.pressure_ripple_ratio = 0.03;
  scenario.noise.pressure_ripple_hz = 25.0;
  sim::bench::SupplyLine line;
  line.start_slot(scenario, {.setpoint_pa = 2e5, .pressure_pa = 2e5}, 1.0, 0.0, 0.0, 1e-3);
  double least_pa = 1e9, most_pa = 0.0, sum_pa = 0.0;
  for (int step = 0; step < 40; ++step) {  // one period
    least_pa = std::min(least_pa, line.pressure_pa());
    most_pa = std::max(most_pa, line.pressure_pa());
    sum_pa += line.pressure_pa();
    line.next_step();
  }
  EXPECT_NEAR(most_pa, 2.06e5, 1.0);
  EXPECT_NEAR(least_pa, 1.94e5, 1.0);
  EXPECT_NEAR(sum_pa / 40.0, 2e5, 1e-3);
}

}  // namespace
