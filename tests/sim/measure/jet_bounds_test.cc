// The jet's figures at the bounds that they are held against, and where there is no jet
// (summary.h). Where a figure has to meet its bound exactly, the bound is read from a first jet.
#include <gtest/gtest.h>

#include <cmath>

#include "model/furrow/guided_run.h"
#include "model/furrow/jet_shape.h"
#include "shared/units.h"
#include "sim/measure/summary.h"

namespace jet_bounds {
namespace {

using sim::measure::JetFigures;
using sim::measure::RowRecord;
using sim::scenario::Scenario;

constexpr double kG_mps2 = 9.80665;

Scenario water_jet(double cd_ratio = 1.0) {
  Scenario scenario;
  scenario.attachment.outlet.bore_m = 1e-3;
  scenario.attachment.outlet.discharge_coefficient_ratio = cd_ratio;
  scenario.attachment.jet.drop_height_m = 0.05;
  return scenario;
}

/// One cubic metre, so that the mean speed is the sum itself.
JetFigures jet_at(const Scenario& scenario, double speed_mps) {
  RowRecord row;
  row.applied_volume_m3 = 1.0;
  row.jet_speed_sum_mps = speed_mps;
  return sim::measure::jet_figures(std::span(&row, 1), scenario);
}

TEST(JetBounds, WithoutLiquidThereIsNoFigureAndNoFlag) {
  const JetFigures none = sim::measure::jet_figures({}, water_jet());
  for (const double figure :
       {none.speed_mps, none.thrust_over_seed_weight_ratio, none.numbers.weber_ratio,
        none.numbers.reynolds_ratio, none.numbers.ohnesorge_ratio, none.breakup_length_m,
        none.flight_path_m, none.breakup_drop_m, none.least_jetting_speed_mps, none.splash_ratio,
        none.landing_clearance_m, none.guide_time_s, none.guide_least_time_s,
        none.guide_most_time_s})
    EXPECT_TRUE(std::isnan(figure));
  EXPECT_FALSE(none.may_move_seed || none.breaks_up || none.drips || none.splashes ||
               none.guide_speed_outside);
}

// A surface of 40 mm, tilted by 60 degrees along the row and by 60 across it: 10 mm down. A jet of
// 10 m/s has 2.5 m/s of it down, and the fall takes (sqrt(2.5^2 + 2 g 0.01) - 2.5) / g.
TEST(JetBounds, AGuideTiltedBothWaysGoesDownByBothCosines) {
  Scenario scenario = water_jet();
  scenario.attachment.guided = true;
  scenario.attachment.jet.aim_rad = scenario.attachment.jet.side_aim_rad = std::acos(0.5);
  scenario.attachment.jet.guide_length_m = 0.04;
  scenario.attachment.jet.guide_speed_mps = 1.0;
  EXPECT_NEAR(jet_at(scenario, 10.0).guide_least_time_s,
              (std::sqrt(6.25 + 2.0 * kG_mps2 * 0.01) - 2.5) / kG_mps2, 1e-12);
}

// The film of 1 mm2 * pi/4 * 10 m/s over the whole width is the slowest that the liquid can be.
TEST(JetBounds, TheSpeedOfTheFilmIsNotOutside) {
  Scenario scenario = water_jet();
  scenario.attachment.guided = true;
  scenario.attachment.jet.guide_length_m = 0.04;
  const double flow_m3ps = 10.0 * (shared::kPi_ratio * 1e-3 * 1e-3 / 4.0);
  scenario.attachment.jet.guide_speed_mps = model::film_speed_mps(
      scenario.liquid.liquid, flow_m3ps, scenario.attachment.guide_width_m, 1.0);
  const JetFigures film = jet_at(scenario, 10.0);
  ASSERT_EQ(film.guide_time_s, film.guide_most_time_s);
  EXPECT_FALSE(film.guide_speed_outside);
  scenario.attachment.jet.guide_speed_mps *= 0.999;
  EXPECT_TRUE(jet_at(scenario, 10.0).guide_speed_outside);
}

TEST(JetBounds, TheSpeedOfTheFreeFallIsNotOutside) {
  Scenario scenario = water_jet();
  scenario.attachment.guided = true;
  scenario.attachment.jet.guide_length_m = 0.04;
  scenario.attachment.jet.guide_speed_mps = 1.0;
  scenario.attachment.jet.guide_speed_mps = 0.04 / jet_at(scenario, 10.0).guide_least_time_s;
  const JetFigures fall = jet_at(scenario, 10.0);
  ASSERT_EQ(fall.guide_time_s, fall.guide_least_time_s);
  EXPECT_FALSE(fall.guide_speed_outside);
  scenario.attachment.jet.guide_speed_mps *= 1.001;
  EXPECT_TRUE(jet_at(scenario, 10.0).guide_speed_outside);
}

// The jet contracts to sqrt(Cd) of the bore, 0.8 mm at 0.64, and Rayleigh's drop is 1.89 times as
// thick.
TEST(JetBounds, TheJetIsThinnerThanTheBore) {
  EXPECT_NEAR(jet_at(water_jet(0.64), 5.0).breakup_drop_m, 1.89 * 0.8e-3, 1e-12);
}

TEST(JetBounds, TheLeastJettingSpeedItselfDoesNotDrip) {
  const double least_mps = jet_at(water_jet(), 1.0).least_jetting_speed_mps;
  EXPECT_FALSE(jet_at(water_jet(), least_mps).drips);
  EXPECT_TRUE(jet_at(water_jet(), 0.999 * least_mps).drips);
}

TEST(JetBounds, AJetThatReachesTheFloorJustWholeDoesNotBreakUp) {
  Scenario scenario = water_jet();
  scenario.attachment.jet.drop_height_m = jet_at(scenario, 1.0).breakup_length_m;
  ASSERT_EQ(jet_at(scenario, 1.0).flight_path_m, scenario.attachment.jet.drop_height_m);
  EXPECT_FALSE(jet_at(scenario, 1.0).breaks_up);
  scenario.attachment.jet.drop_height_m *= 1.001;
  EXPECT_TRUE(jet_at(scenario, 1.0).breaks_up);
  scenario.attachment.guided = true;
  EXPECT_FALSE(jet_at(scenario, 1.0).breaks_up) << "on a surface there is no jet";
}

// We^.5 Re^.25 = sqrt(rho d / sigma) (rho d / mu)^.25 u^1.25 is 57.7 (Mundo and others 1995) where
// the whole jet lands with this u; it leaves with what the fall of 50 mm does not add.
TEST(JetBounds, SplashesAboveTheLimitOfMundo) {
  const model::Liquid water = water_jet().liquid.liquid;
  const double rho_d_kgpm2 = water.density_kgpm3 * 1e-3;
  const double per_speed = std::sqrt(rho_d_kgpm2 / water.surface_tension_npm) *  // tidy: unit mixed
                           std::pow(rho_d_kgpm2 / water.viscosity_pas, 0.25);
  const double lands_mps = std::pow(57.7 / per_speed, 0.8);
  const auto splashes = [&](double share_ratio) {
    const double own_mps = lands_mps * share_ratio;
    return jet_at(water_jet(), std::sqrt(own_mps * own_mps - 2.0 * kG_mps2 * 0.05)).splashes;
  };
  EXPECT_FALSE(splashes(0.999));
  EXPECT_TRUE(splashes(1.001));
}

// Thrust rho (u Cd a) u of water, 1 mm, Cd = 0.5: at 1 m/s 998.207 * 0.5 * 0.785398e-6 = 0.392 mN.
TEST(JetBounds, ThrustTakesTheFlowThroughTheBore) {
  Scenario scenario = water_jet(0.5);
  scenario.sensor.seed_mass_kg = 0.3e-3;
  EXPECT_NEAR(jet_at(scenario, 1.0).thrust_over_seed_weight_ratio,
              998.207 * 0.5 * 0.785398e-6 / (0.3e-3 * kG_mps2), 1e-6);
}

TEST(JetBounds, AThrustAboveTheWeightMayMoveASeed) {
  Scenario scenario = water_jet();
  scenario.attachment.lateral_clearance_m = 0.0;
  scenario.sensor.seed_mass_kg = 0.04e-3;  // 0.392 mN; thrust at u: 0.784 mN u^2
  for (const double thrust_ratio : {0.99, 1.01, 1.99}) {
    const double speed_mps = std::sqrt(thrust_ratio * 0.04e-3 * kG_mps2 / (998.207 * 0.785398e-6));
    EXPECT_EQ(jet_at(scenario, speed_mps).may_move_seed, thrust_ratio > 1.0) << thrust_ratio;
  }
}

// Half a bore of 1 mm, half a seed of 10 mm and two deviations of the mount of 3 mm.
TEST(JetBounds, AtTheVeryReachOfItsScatterItDoesNotMeetTheSeed) {
  Scenario scenario = water_jet();
  scenario.noise.outlet_mount_m = 3e-3;
  scenario.attachment.lateral_clearance_m = 0.5 * 1e-3 + 5.0e-3 + 2.0 * 3e-3;
  EXPECT_FALSE(jet_at(scenario, 10.0).may_move_seed);
  scenario.attachment.lateral_clearance_m -= 1e-6;
  EXPECT_TRUE(jet_at(scenario, 10.0).may_move_seed);
}

}  // namespace
}  // namespace jet_bounds
