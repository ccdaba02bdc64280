#include "sim/study/delay/delay_plan.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "tests/sim/study/delay/delay_inputs.h"

namespace {

using testing::HasSubstr;

std::string message_of(const sim::delay::DelayInputs& inputs) {
  try {
    sim::delay::plan_delay_study(inputs);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

TEST(DelayPlan, TheReportSeesNothingOfTheFit) {
  const sim::delay::DelayPlan plan = sim::delay::plan_delay_study(sim_test::ideal_inputs());
  ASSERT_EQ(plan.fit.size(), 4u * 2u * 3u);
  std::set<double> speeds, temperatures, voltages, spacings;
  std::set<std::uint64_t> keys;
  for (const sim::delay::DelayCondition& one : plan.fit) {
    speeds.insert(one.speed_mps);
    temperatures.insert(one.temperature_k);
    voltages.insert(one.voltage_v);
    spacings.insert(one.spacing_m);
    keys.insert(one.rng_key);
  }
  ASSERT_EQ(plan.report.size(), 3u * sim::delay::kReportKeys);
  for (const sim::delay::DelayCondition& one : plan.report) {
    EXPECT_EQ(speeds.count(one.speed_mps), 0u);
    EXPECT_EQ(temperatures.count(one.temperature_k), 0u);
    EXPECT_EQ(voltages.count(one.voltage_v), 0u);
    EXPECT_EQ(spacings.count(one.spacing_m), 0u);
    EXPECT_EQ(keys.count(one.rng_key), 0u);
  }
}

TEST(DelayPlan, OneSpeedIsRefusedWithTwoThatWork) {
  EXPECT_THAT(message_of(sim_test::ideal_inputs({"tuning.speeds=1"})),
              HasSubstr("tuning.speeds = 2"));
}

// The demo's 1.6 mm outlet at 0.05 bar: sqrt(2 * 5000 / 1300) * 0.65 * 2.01 mm2 = 3.6 ml/s at most,
// below the 3.96 ml/s that 5 gal/ac over 0.762 m take at 4 km/h.
TEST(DelayPlan, AnAttachmentThatCannotPassTheRateIsRefusedWithASpeed) {
  auto inputs = sim_test::ideal_inputs(
      {"row.physics=full", "supply.pressure_min=\"0.02 bar\"", "supply.pressure=\"0.05 bar\""});
  EXPECT_THAT(message_of(inputs), HasSubstr("nearest workable: tuning.fastest"));
}

TEST(DelayPlan, ATemperatureThatTheCatalogDoesNotKnowIsNotedNotGuessed) {
  auto inputs = sim_test::ideal_inputs();
  const double middle_k = inputs.scenario.liquid.temperature_k;
  const model::Liquid liquid = inputs.scenario.liquid.liquid;
  inputs.liquid_at = [=](double temperature_k) {
    if (temperature_k < middle_k) throw sim::text::InputError("too cold");
    return liquid;
  };
  const sim::delay::DelayPlan plan = sim::delay::plan_delay_study(inputs);
  EXPECT_EQ(plan.temperatures_k.size(), 2u);
  ASSERT_EQ(plan.notes.size(), 1u);
  EXPECT_THAT(plan.notes[0], HasSubstr("too cold"));
}

}  // namespace
