#include "sim/study/today.h"

#include <gtest/gtest.h>

#include "sim/study/tune.h"
#include "tests/sim/delay_inputs.h"

namespace {

using sim_test::ideal_inputs;

sim::TodayResult found(const sim::DelayInputs& today, const sim::DelayInputs& reference) {
  return sim::find_today(today, reference, sim::tune(reference.scenario).table);
}

TEST(Today, AQuietIdealRowIsNotLimited) {
  const sim::DelayInputs inputs = ideal_inputs();
  const sim::TodayResult today = found(inputs, inputs);
  EXPECT_EQ(today.limit, sim::TodayLimit::kNone);
  EXPECT_NEAR(today.fastest_mps, inputs.scenario.tuning.fastest_mps, 1e-12);
}

// Bounce of 9 mm (sd) leaves 73 % within 10 mm (normal: 2 Phi(10/9) - 1 = 0.73) at every speed.
TEST(Today, ABouncingSeedIsTheDeliverysFault) {
  const sim::DelayInputs inputs = ideal_inputs({"delivery.rest_scatter=\"9 mm\""});
  const sim::TodayResult today = found(inputs, inputs);
  EXPECT_TRUE(std::isnan(today.fastest_mps));
  EXPECT_EQ(today.limit, sim::TodayLimit::kDelivery);
  EXPECT_NEAR(today.failing_share_ratio, 0.73, 0.08);
}

// The row opens 4 ms later than its table knows: 10 mm are lost above 10/4 = 2.5 m/s, and a table
// tuned today would mend it.
TEST(Today, ALeadThatMovedIsTheColumns) {
  const sim::DelayInputs reference = ideal_inputs();
  sim::DelayInputs slow = reference;
  slow.scenario.row.opening_delay_s += 4e-3;
  slow.scenario.row.closing_delay_s += 4e-3;
  const sim::TodayResult today = found(slow, reference);
  EXPECT_EQ(today.limit, sim::TodayLimit::kColumn);
  EXPECT_NEAR(today.fastest_mps, 2.5, 0.3);
}

TEST(Today, TooLittlePressureIsSaid) {
  const sim::DelayInputs reference =
      ideal_inputs({"row.physics=full", "tuning.speeds=3", "row.count=2", "tuning.seeds=40"});
  sim::DelayInputs weak = reference;
  weak.scenario.supply.pressure_pa = 0.6e5;
  const sim::TodayResult today = found(weak, reference);
  EXPECT_EQ(today.limit, sim::TodayLimit::kPressure);
}

}  // namespace
