// Leak and life of a worn valve after a pass, by the formula of an annulus (model/valve/wear.h).
#include <gtest/gtest.h>

#include "shared/units.h"
#include "sim/measure/valve_life.h"

namespace valve_wear {
namespace {

sim::scenario::Scenario half_worn() {
  sim::scenario::Scenario scenario;
  scenario.travel.speed_mps = 4.0;
  scenario.seeding.meter.spacing_m = 0.16;
  scenario.attachment.valve.wear = {
      .cycles_ratio = 4e6 - 1.0, .life_cycles_ratio = 8e6, .gap_at_life_m = 20e-6, .land_m = 1e-3};
  return scenario;
}

/// One row of one pulse.
sim::measure::ValveLife life_of(const sim::scenario::Scenario& scenario) {
  sim::measure::RowRecord row;
  row.bands.resize(1);
  row.applied_volume_m3 = 0.25e-6;
  return sim::measure::valve_life(std::span(&row, 1), scenario, 2e5, 20e-9);
}

// Half of 8 million cycles is done: half of the 4 million left at 25 a second are 160 000 s.
TEST(ValveWear, ASinglePulseIsARate) {
  const sim::measure::ValveLife life = life_of(half_worn());
  ASSERT_TRUE(life.left.known);
  EXPECT_NEAR(life.left.cycles_ratio, 4e6, 1e-3);
  EXPECT_NEAR(life.left.time_s, 4e6 / 25.0, 1e-3);
}

// A gap of 10 um at half of the life: pi d h^3 / (12 mu L) times 2 bar, and a 25th of a second of
// it is part of every dose.
TEST(ValveWear, TheLeakIsThatOfTheGapAtThePressure) {
  const sim::scenario::Scenario scenario = half_worn();
  const double leak_m3ps = shared::kPi_ratio * scenario.attachment.valve.seat.diameter_m * 1e-15 /
                           (12.0 * scenario.liquid.liquid.viscosity_pas * 1e-3) * 2e5;
  const sim::measure::ValveLife life = life_of(scenario);
  EXPECT_NEAR(life.leak_m3ps / leak_m3ps, 1.0, 1e-9);
  EXPECT_NEAR(life.smallest_m3, 20e-9 + leak_m3ps / 25.0, 1e-15);
}

}  // namespace
}  // namespace valve_wear
