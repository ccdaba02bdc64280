// How much liquid is missing in the tube after standing: by hand, and by the laws of its parts.
#include "sim/study/outlet/outlet_fullness.h"

#include <gtest/gtest.h>

#include "tests/sim/demo_scenario.h"

namespace {

sim::scenario::Scenario water_demo(const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets{"liquid.name=\"water\"", "liquid.temperature=\"20 C\""};
  sets.insert(sets.end(), more.begin(), more.end());
  return sim_test::quiet_demo(sets);
}

const sim::outlet::Refill kRefill{.flow_m3ps = 16e-6, .speed_mps = 4.0};

sim::outlet::Fullness full_of(const sim::scenario::Scenario& scenario,
                              const sim::outlet::VoidsAtRest& voids = {},
                              const sim::outlet::StandingAssumptions& assumed = {}) {
  return sim::outlet::fullness(scenario, voids, kRefill, assumed);
}

}  // namespace

// Tube 8 mm x 0.3 m holds 15.08 ml; cooled by 5 K water shrinks by 2.07e-4 * 5 = 1.035e-3 of it:
// 15.61 mm3. The meniscus in a bore of 1.6 mm (2.011 mm2) draws back by 0.3636 mm in 300 s (Stefan,
// by hand in tests/published/open_meniscus_test.cc): 0.731 mm3.
TEST(OutletFullness, CoolingAndDryingByHand) {
  const sim::outlet::Fullness full = full_of(water_demo());
  EXPECT_NEAR(full.stop.contracted_m3 * 1e9, 15.61, 0.01);
  EXPECT_NEAR(full.stop.dried_m3 * 1e9, 0.731, 0.003);
  EXPECT_NEAR(full.hang_m, 0.3, 1e-12);
}

// 15.61 + 0.73 mm3 at 16 ml/s take 1.02 ms, at 4 m/s 4.1 mm: gas (below) is less than the cooling.
TEST(OutletFullness, RefillIsVoidOverFlowTimesSpeed) {
  const sim::outlet::Fullness full = full_of(water_demo());
  ASSERT_LT(full.stop.gas_m3, full.stop.contracted_m3);
  EXPECT_NEAR(full.stop.refill_s, 1.021e-3, 0.002e-3);
  EXPECT_NEAR(full.stop.refill_m, 4.085e-3, 0.01e-3);
}

// Excess by 0.3 m of water 5.97e-4 (tests/published/bubble_growth_test.cc) and by 5 K 0.02 * 0.02 *
// 5 = 2e-3: 2.597e-3 of 15.08 ml is 39.2 mm3 at most; bubbles of sqrt(2 * 2.597e-3 * 2e-9 * 300) =
// 55.8 um (2 % more by the early law: 57.0) on 7540 places fill 5.8 mm3.
TEST(OutletFullness, GasIsWhatTheBubblesHaveGrownTo) {
  const sim::outlet::Fullness full = full_of(water_demo());
  EXPECT_NEAR(full.stop.bubble_radius_m * 1e6, 57.0, 0.3);
  EXPECT_NEAR(full.stop.gas_m3 * 1e9, 5.85, 0.1);
  sim::outlet::StandingAssumptions many;
  many.bubbles_pm2 = 1e9;
  EXPECT_NEAR(full_of(water_demo(), {}, many).stop.gas_m3 * 1e9, 39.2, 0.2);
}

TEST(OutletFullness, RestComesFromTheModelAndStandingAddsToIt) {
  const sim::outlet::Fullness full =
      full_of(water_demo(), {.after_pulse_m3 = 2e-9, .after_train_m3 = 3e-9});
  EXPECT_DOUBLE_EQ(full.closed.void_m3, 2e-9);
  EXPECT_GT(full.pass.void_m3, 3e-9);
  EXPECT_GT(full.stop.void_m3, full.pass.void_m3);
}

// Beyond about 10 mm water runs out of an open end (Extrand 2017): the whole tube is to be
// refilled.
TEST(OutletFullness, WideEndEmptiesTheTube) {
  sim::scenario::Scenario wide = water_demo({"attachment.tube.bore=\"16 mm\""});
  wide.attachment.outlet.bore_m = 12e-3;
  const sim::outlet::Fullness full = full_of(wide);
  EXPECT_FALSE(full.holds);
  EXPECT_FALSE(full.holds_liquid());
  EXPECT_NEAR(full.stop.void_m3 * 1e6, 60.32, 0.01);  // pi/4 * 1.6^2 * 30 cm3
  wide.attachment.outlet.bore_m = 9e-3;
  EXPECT_TRUE(full_of(wide).holds);
}

TEST(OutletFullness, ColumnTallerThanTheAtmosphereCarriesBreaks) {
  sim::scenario::Scenario tall = water_demo();
  tall.attachment.tube.rise_m = -10.2;
  EXPECT_FALSE(full_of(tall).holds);
  tall.attachment.tube.rise_m = 0.2;  // climbs: nothing hangs
  EXPECT_EQ(full_of(tall).hang_m, 0.0);
}

// Bretherton: 5 mm of water.
TEST(OutletFullness, VoidStaysAtTheOutletOnlyInANarrowTube) {
  EXPECT_FALSE(full_of(water_demo()).void_stays);
  EXPECT_TRUE(full_of(water_demo({"attachment.tube.bore=\"4 mm\""})).void_stays);
}

TEST(OutletFullness, LongerStandingAndLargerTubesLoseMore) {
  sim::outlet::StandingAssumptions hour;
  hour.stop_s = 3600.0;
  EXPECT_GT(full_of(water_demo(), {}, hour).stop.void_m3, full_of(water_demo()).stop.void_m3);
  EXPECT_GT(full_of(water_demo({"attachment.tube.length=\"0.9 m\""})).stop.void_m3,
            full_of(water_demo()).stop.void_m3);
}
