// The two plants behind one step: an ideal row's flow is what its delays say, to the share of a
// step; a full row opens by its own physics and stores what the balance asks for.
#include "sim/bench/row_plant.h"

#include <gtest/gtest.h>

#include "sim/scenario/scenario.h"

namespace {

using sim::scenario::Scenario;

constexpr double kFlow_m3ps = 2e-5;

TEST(RowPlant, AnIdealRowFlowsFromOneStatedDelayToTheOther) {
  Scenario scenario;
  scenario.row.opening_delay_s = 2.05e-3;
  scenario.row.closing_delay_s = 1.02e-3;
  const model::Travel travel{};
  const auto plant = sim::bench::make_ideal_row(scenario, travel);
  const shared::Duration step = plant->step_length();
  plant->commanded_on(shared::Instant{0}, 2e5);
  plant->commanded_off(shared::Instant{0} + shared::milliseconds(10));
  double volume_m3 = 0.0;
  for (int k = 0; k < 200; ++k) {
    const shared::Instant start = shared::Instant{0} + step * k;
    const model::RowStepOutput out = plant->step(start, {}, kFlow_m3ps);
    volume_m3 += out.jet_volume_m3;
    EXPECT_EQ(plant->open(out), out.outlet_flow_m3ps > 0.0);
    const double share_ratio = out.outlet_flow_m3ps / kFlow_m3ps;
    if (k == 20) {
      EXPECT_NEAR(share_ratio, 0.5, 1e-9);
    }  // from 2.05 ms on
    if (k == 110) {
      EXPECT_NEAR(share_ratio, 0.2, 1e-9);
    }  // until 11.02 ms
  }
  EXPECT_NEAR(volume_m3, kFlow_m3ps * (11.02e-3 - 2.05e-3), 1e-15);
  EXPECT_FALSE(plant->stored_volume_m3().has_value());
}

TEST(RowPlant, AnIdealRowTakesItsVolumeOutOfTheManifoldsCompliance) {
  const Scenario scenario;
  const model::Travel travel{};
  const auto plant = sim::bench::make_ideal_row(scenario, travel);
  model::ManifoldShare share{.pressure_pa = 3e5, .fed_m3ps = 1e-5, .compliance_m3ppa = 1e-11};
  const double step_s = plant->step_length().seconds();
  plant->draw_from(share, 1.0, 3e-9);
  EXPECT_NEAR(share.pressure_pa, 3e5 + (1e-5 * step_s - 3e-9) / 1e-11, 1e-6);
}

}  // namespace
