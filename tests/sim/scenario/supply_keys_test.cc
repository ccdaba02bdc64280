// Keys of supply, coil and wear: read in people's units, refused where they contradict.
#include <gtest/gtest.h>

#include <string>

#include "sim/scenario/loader.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim_test::demo;

std::string refusal(const std::vector<std::string>& sets) {
  try {
    demo(sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

TEST(SupplyKeys, AreReadInPeoplesUnits) {
  const sim::scenario::Scenario s =
      demo({"supply.pump_flow=\"12 l/min\"", "supply.pump_curve=\"parabola\"",
            "supply.manifold_volume=\"2 l\"", "supply.harness_resistance=\"50 mohm\"",
            "attachment.valve.coil.temperature=\"80 C\"",
            "attachment.valve.coil.thermal_resistance=\"8 K/W\"",
            "attachment.valve.wear.cycles=5e6", "attachment.valve.wear.life_cycles=8e6",
            "attachment.valve.wear.gap_at_life=\"20 um\"", "liquid.abrasiveness=1.5"});
  EXPECT_DOUBLE_EQ(s.supply.manifold.pump_m3ps, 2e-4);
  EXPECT_EQ(s.supply.manifold.curve, model::PumpCurve::kParabola);
  EXPECT_DOUBLE_EQ(s.supply.manifold.volume_m3, 2e-3);
  EXPECT_DOUBLE_EQ(s.supply.harness_ohm, 0.05);
  EXPECT_DOUBLE_EQ(s.attachment.valve.coil.temperature_k, 353.15);
  EXPECT_DOUBLE_EQ(s.attachment.valve.coil.thermal_kpw, 8.0);
  EXPECT_DOUBLE_EQ(s.attachment.valve.wear.cycles_ratio, 5e6);
  EXPECT_DOUBLE_EQ(s.attachment.valve.wear.gap_at_life_m, 20e-6);
  EXPECT_DOUBLE_EQ(s.liquid.liquid.abrasiveness_ratio, 1.5);
}

TEST(SupplyKeys, DefaultsShareNothingAndWearNothing) {
  const sim::scenario::Scenario s = demo();
  EXPECT_EQ(s.supply.manifold.pump_m3ps, 0.0);
  EXPECT_EQ(s.supply.harness_ohm + s.supply.row_harness_ohm, 0.0);
  EXPECT_EQ(s.attachment.valve.coil.temperature_k, 293.15);
  EXPECT_EQ(s.attachment.valve.coil.thermal_kpw, 0.0);
  EXPECT_EQ(s.attachment.valve.wear.gap_at_life_m, 0.0);
}

TEST(SupplyKeys, ContradictionsAreNamed) {
  EXPECT_NE(refusal({"supply.tank_volume=\"100 l\""}).find("supply.tank_volume"),
            std::string::npos);
  EXPECT_NE(refusal({"supply.pump_flow=\"12 l/min\"", "supply.pump_pressure=\"0.1 bar\""})
                .find("supply.pump_pressure"),
            std::string::npos);
  EXPECT_NE(
      refusal({"attachment.valve.wear.gap_at_life=\"20 um\"", "attachment.valve.wear.cycles=1e6"})
          .find("gap_at_life"),
      std::string::npos);
  // C = 0.1 ml / 2 GPa = 5e-17 m3/Pa, Z of the demo's hose 1.4e10: 8 rows empty it in 0.1 us
  EXPECT_NE(refusal({"supply.pump_flow=\"12 l/min\"", "supply.manifold_volume=\"0.1 ml\"",
                     "supply.manifold_modulus=\"2 GPa\""})
                .find("supply.exchange"),
            std::string::npos);
  EXPECT_NE(refusal({"supply.pump_curve=\"cubic\""}).find("pump_curve"), std::string::npos);
  EXPECT_NE(refusal({"supply.harness_resistance=\"-1 ohm\""}).find("harness_resistance"),
            std::string::npos);
}

}  // namespace
