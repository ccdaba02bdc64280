// The jet's figures where the outlet is tilted or far above the floor, worked by hand; the plain
// cases stand in summary_test.cc.
#include <gtest/gtest.h>

#include <cmath>

#include "model/furrow/jet_shape.h"
#include "sim/measure/judge.h"
#include "sim/measure/summary.h"

namespace sim::measure {
namespace {

constexpr double kG_mps2 = 9.80665;

scenario::Scenario jet_of(double cd_ratio) {
  scenario::Scenario scenario;
  scenario.attachment.outlet.bore_m = 1e-3;
  scenario.attachment.outlet.discharge_coefficient_ratio = cd_ratio;
  scenario.attachment.jet.drop_height_m = 0.05;
  return scenario;
}

JetFigures at_speed(const scenario::Scenario& scenario, double speed_mps) {
  RowRecord row;
  row.applied_volume_m3 = 2e-6;
  row.jet_speed_sum_mps = speed_mps * 2e-6;
  return jet_figures(std::span(&row, 1), scenario);
}

// 40 mm of surface, 60 degrees from the vertical: 20 mm down. From 10 m/s, 5 m/s of it down, the
// fall takes (sqrt(25 + 2 g 0.02) - 5) / g = 3.98443 ms. It leaves 30 mm above the floor at 1 m/s:
// 0.0423836 s, in which it goes 0.866025 m/s * t = 36.7053 mm; the path is their hypotenuse.
TEST(JetFigures, ATiltedGuideTakesItsHeightOffTheFall) {
  scenario::Scenario scenario = jet_of(1.0);
  scenario.attachment.guided = true;
  scenario.attachment.jet.aim_rad = std::acos(0.5);
  scenario.attachment.jet.guide_length_m = 0.04;
  scenario.attachment.jet.guide_speed_mps = 1.0;
  const JetFigures jet = at_speed(scenario, 10.0);
  EXPECT_NEAR(jet.guide_least_time_s, (std::sqrt(25.0 + 2.0 * kG_mps2 * 0.02) - 5.0) / kG_mps2,
              1e-12);
  const double fall_s = (std::sqrt(0.25 + 2.0 * kG_mps2 * 0.03) - 0.5) / kG_mps2;
  EXPECT_NEAR(jet.flight_path_m, std::hypot(0.03, std::sqrt(0.75) * fall_s), 1e-12);
  EXPECT_FALSE(jet.breaks_up) << "on a surface there is no jet";
}

// The mean speed in the bore is Cd times the jet's: 0.8 m/s * 0.5 is below the 0.432 m/s at which
// water leaves 1 mm as a jet, and 0.9 m/s * 0.5 above.
TEST(JetFigures, DripsByTheSpeedInTheBore) {
  EXPECT_NEAR(at_speed(jet_of(0.5), 0.8).least_jetting_speed_mps, 0.432, 0.001);
  EXPECT_TRUE(at_speed(jet_of(0.5), 0.8).drips);
  EXPECT_FALSE(at_speed(jet_of(0.5), 0.9).drips);
}

TEST(JetFigures, AGuideDownToTheFloorLeavesNoFlight) {
  scenario::Scenario scenario = jet_of(1.0);
  scenario.attachment.guided = true;
  scenario.attachment.jet.guide_length_m = 0.05;
  scenario.attachment.jet.guide_speed_mps = 1.0;
  EXPECT_EQ(at_speed(scenario, 1.0).flight_path_m, 0.0);
}

// The fall adds 2 g h to the square of the speed; a jet that breaks up on the way lands in drops.
TEST(JetFigures, SplashesByTheSpeedAndSizeOfWhatLands) {
  scenario::Scenario scenario = jet_of(1.0);
  for (const double height_m : {0.05, 0.10}) {
    scenario.attachment.jet.drop_height_m = height_m;
    const JetFigures jet = at_speed(scenario, 1.0);
    EXPECT_EQ(jet.breaks_up, height_m > 0.08) << "whole over 73 mm (summary_test.cc)";
    const double lands_mps = std::sqrt(1.0 + 2.0 * kG_mps2 * height_m);
    const double size_m = jet.breaks_up ? 1.89e-3 : 1e-3;  // Rayleigh's drop of a 1 mm jet
    const model::JetNumbers numbers = model::jet_numbers(scenario.liquid.liquid, lands_mps, size_m);
    EXPECT_NEAR(jet.splash_ratio, model::splash_ratio(numbers), 2e-3 * jet.splash_ratio);
  }
}

TEST(JetFigures, WithoutLiquidSeedOrSurfaceTensionThereIsNone) {
  const JetFigures none = at_speed(jet_of(1.0), 0.0);
  EXPECT_TRUE(std::isnan(none.thrust_over_seed_weight_ratio));
  EXPECT_TRUE(std::isnan(none.landing_clearance_m));
  scenario::Scenario scenario = jet_of(1.0);
  scenario.sensor.seed_mass_kg = 0.0;
  EXPECT_TRUE(std::isnan(at_speed(scenario, 10.0).thrust_over_seed_weight_ratio));
  scenario = jet_of(1.0);
  scenario.liquid.liquid.surface_tension_npm = 0.0;
  EXPECT_TRUE(std::isnan(at_speed(scenario, 10.0).breakup_length_m));
  EXPECT_FALSE(std::isnan(at_speed(scenario, 10.0).landing_clearance_m));
  EXPECT_TRUE(std::isnan(jet_figures({}, jet_of(1.0)).speed_mps));
}

}  // namespace
}  // namespace sim::measure
