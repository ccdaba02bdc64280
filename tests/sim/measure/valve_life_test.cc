#include "sim/measure/valve_life.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/study/run/wear_lines.h"
#include "tests/support/example_result.h"

namespace {

sim::run::RunResult result_of(double life_cycles) {
  sim::run::RunResult result;
  result.scenario = tests::example_scenario();
  result.scenario.attachment.valve.wear = {.cycles_ratio = 1e6, .life_cycles_ratio = life_cycles};
  result.record.rows.resize(2);
  result.record.rows[0].bands.resize(100);
  result.record.rows[1].bands.resize(400);
  result.record.rows[1].applied_volume_m3 = 400 * 0.25e-6;
  return result;
}

// The row of 400 pulses: 1 000 400 of 8 million (a check value of our own); 0.25 ml a pulse and
// 16 km/h / 0.15 m = 29.63 a second.
TEST(ValveLife, IsThatOfTheRowThatPulsedMost) {
  const sim::run::RunResult result = result_of(8e6);
  const sim::measure::ValveLife life =
      sim::measure::valve_life(result.record.rows, result.scenario, 1.5e5, 20e-9);
  EXPECT_EQ(life.cycles_ratio, 1'000'400.0);
  EXPECT_NEAR(life.used_ratio, 1'000'400.0 / 8e6, 1e-15);
  EXPECT_NEAR(life.left.cycles_ratio, 6'999'600.0, 1e-3);
  EXPECT_NEAR(life.left.volume_m3 * 1e3, 1749.9, 1e-6);
  EXPECT_NEAR(life.left.time_s, 6'999'600.0 / (16.0 / 3.6 / 0.15), 1e-3);
  EXPECT_EQ(life.leak_m3ps, 0.0);
  EXPECT_NEAR(life.smallest_m3, 20e-9, 1e-18);
  EXPECT_NEAR(life.pulse_rate_hz, 16.0 / 3.6 / 0.15, 1e-12);
  EXPECT_NE(sim::run::wear_line(result, sim::output::Units::kMetric).find("6999600 cycles"),
            std::string::npos);
}

TEST(ValveLife, ReadsNotKnownWhereNobodyToldALife) {
  const sim::run::RunResult result = result_of(0.0);
  const sim::measure::ValveLife life =
      sim::measure::valve_life(result.record.rows, result.scenario, 1.5e5, 20e-9);
  EXPECT_TRUE(std::isnan(life.used_ratio));
  EXPECT_FALSE(life.left.known);
  EXPECT_NE(sim::run::wear_line(result, sim::output::Units::kUs).find("not known"),
            std::string::npos);
}

TEST(ValveLife, OfAPassWithoutPulsesHasNoRate) {
  sim::run::RunResult result = result_of(8e6);
  for (sim::measure::RowRecord& row : result.record.rows) row.bands.clear();
  EXPECT_FALSE(
      sim::measure::valve_life(result.record.rows, result.scenario, 1.5e5, 0.0).left.known);
}

// Two rows that pulsed as often: the first one's volume counts.
TEST(ValveLife, OfEqualsTheFirstRowCounts) {
  sim::run::RunResult result = result_of(8e6);
  result.record.rows[0].bands.resize(400);
  result.record.rows[0].applied_volume_m3 = 1e-6;
  EXPECT_EQ(sim::measure::valve_life(result.record.rows, result.scenario, 1.5e5, 0.0).volume_m3,
            1e-6);
}

TEST(ValveLife, WithoutARowItIsWhatWasStated) {
  const sim::measure::ValveLife life =
      sim::measure::valve_life({}, result_of(8e6).scenario, 1.5e5, 0.0);
  EXPECT_EQ(life.cycles_ratio, 1e6);
  EXPECT_EQ(life.volume_m3, 0.0);
}

TEST(ValveLife, IsStatedByCyclesByVolumeOrByALife) {
  sim::scenario::Scenario scenario = tests::example_scenario();
  model::Wear& wear = scenario.attachment.valve.wear;
  wear = {};
  EXPECT_FALSE(sim::measure::wear_stated(scenario));
  wear.cycles_ratio = 1.0;
  EXPECT_TRUE(sim::measure::wear_stated(scenario));
  wear = {};
  wear.volume_m3 = 1e-3;
  EXPECT_TRUE(sim::measure::wear_stated(scenario));
  wear = {.life_cycles_ratio = 8e6};
  EXPECT_TRUE(sim::measure::wear_stated(scenario));
}

}  // namespace
