// The jet's way to the ground: limits, directions and one case by hand.
#include "model/furrow/outlet_jet.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/furrow/guided_run.h"
#include "shared/units.h"

namespace model {
namespace {

constexpr JetAim kStraightDown{.drop_height_m = 0.05, .aim_rad = 0.0};

TEST(OutletJet, AtRestItFallsFreely) {
  EXPECT_DOUBLE_EQ(jet_flight_time_s(0.0, kStraightDown), std::sqrt(2.0 * 0.05 / 9.80665));
}

TEST(OutletJet, TheFlightCoversTheHeight) {
  for (double speed_mps = 0.0; speed_mps < 30.0; speed_mps += 0.7) {
    const double time_s = jet_flight_time_s(speed_mps, kStraightDown);
    EXPECT_NEAR(speed_mps * time_s + 0.5 * 9.80665 * time_s * time_s, 0.05, 1e-16);
  }
}

TEST(OutletJet, AFastJetTakesHeightOverSpeed) {
  EXPECT_NEAR(jet_flight_time_s(1000.0, kStraightDown) * 1000.0 / 0.05, 1.0, 1e-6);
}

TEST(OutletJet, StraightDownItReachesSpeedTimesFlight) {
  const double time_s = jet_flight_time_s(6.0, kStraightDown);
  EXPECT_DOUBLE_EQ(jet_reach_m(6.0, 4.0, kStraightDown), 4.0 * time_s);
  EXPECT_EQ(jet_reach_m(6.0, 0.0, kStraightDown), 0.0);
}

// 30 degrees back at 8 m/s: u_x = -4, u_z = 6.92820; sqrt(48 + 2*9.80665*0.05) = 6.99862;
// t = 0.1/13.92682 = 7.18039 ms; at 4.444444 m/s the reach is 0.444444 * 7.18039 ms = 3.19128 mm.
TEST(OutletJet, AimedBackItNearlyStandsStill) {
  const JetAim back{.drop_height_m = 0.05, .aim_rad = -shared::kPi_ratio / 6.0};
  EXPECT_NEAR(jet_flight_time_s(8.0, back), 7.18039e-3, 1e-8);
  EXPECT_NEAR(jet_reach_m(8.0, 16.0 / 3.6, back), 3.19128e-3, 1e-8);
}

TEST(OutletJet, AimForwardAndBackMirror) {
  const JetAim forward{.drop_height_m = 0.05, .aim_rad = 0.3};
  const JetAim back{.drop_height_m = 0.05, .aim_rad = -0.3};
  EXPECT_DOUBLE_EQ(jet_flight_time_s(5.0, forward), jet_flight_time_s(5.0, back));
  EXPECT_DOUBLE_EQ(jet_reach_m(5.0, 0.0, forward), -jet_reach_m(5.0, 0.0, back));
}

// 60 degrees sideways at 8 m/s over 50 mm: u_z = 4, u_y = 6.92820; sqrt(16 + 0.980665) = 4.120760;
// t = 0.1/8.120760 = 12.31412 ms; y = 85.3147 mm; nothing along the row.
TEST(OutletJet, AimedSidewaysItLandsBeside) {
  const JetAim side{.drop_height_m = 0.05, .side_aim_rad = shared::kPi_ratio / 3.0};
  EXPECT_NEAR(jet_flight_time_s(8.0, side), 12.31412e-3, 1e-8);
  EXPECT_NEAR(jet_side_reach_m(8.0, side), 85.3147e-3, 1e-7);
  EXPECT_EQ(jet_reach_m(8.0, 0.0, side), 0.0);
  const JetAim other{.drop_height_m = 0.05, .side_aim_rad = -shared::kPi_ratio / 3.0};
  EXPECT_EQ(jet_side_reach_m(8.0, other), -jet_side_reach_m(8.0, side));
  EXPECT_EQ(jet_side_reach_m(8.0, kStraightDown), 0.0);
}

// Both aims: the three parts of the speed keep its size, whatever the order of the angles.
TEST(OutletJet, BothAimsKeepTheSpeed) {
  const JetAim both{.drop_height_m = 0.05, .aim_rad = 0.4, .side_aim_rad = -0.7};
  const double time_s = jet_flight_time_s(6.0, both);
  const double down_mps = 0.05 / time_s - 0.5 * 9.80665 * time_s;
  const double along_mps = jet_reach_m(6.0, 0.0, both) / time_s;
  const double side_mps = jet_side_reach_m(6.0, both) / time_s;
  EXPECT_NEAR(down_mps * down_mps + along_mps * along_mps + side_mps * side_mps, 36.0, 1e-10);
}

// 30 mm down a surface at 1 m/s, then 20 mm of fall from 1 m/s: 30 ms + 0.04/(1 + sqrt(1.392266)) =
// 30 + 18.34910 ms.
TEST(OutletJet, GuidedItTakesTheGuidesTimeAndFallsTheRest) {
  const JetAim guided{.drop_height_m = 0.05, .guide_length_m = 0.03, .guide_speed_mps = 1.0};
  EXPECT_NEAR(jet_flight_time_s(12.0, guided), 48.34910e-3, 1e-8);
  EXPECT_EQ(jet_flight_time_s(12.0, guided), jet_flight_time_s(0.0, guided))
      << "the surface has taken the jet's speed";
  EXPECT_NEAR(jet_reach_m(12.0, 4.0, guided), 4.0 * 48.34910e-3, 1e-7);
}

// A row that rides low: the floor cuts the guide short, and the jet falls nowhere freely.
TEST(OutletJet, AGuideEndsAtTheFloor) {
  const JetAim low{.drop_height_m = 0.02, .guide_length_m = 0.03, .guide_speed_mps = 0.5};
  EXPECT_NEAR(jet_flight_time_s(5.0, low), 0.04, 1e-15);
  const JetAim just{.drop_height_m = 0.03, .guide_length_m = 0.03, .guide_speed_mps = 0.5};
  const JetAim above{.drop_height_m = 0.03 + 1e-12, .guide_length_m = 0.03, .guide_speed_mps = 0.5};
  EXPECT_NEAR(jet_flight_time_s(5.0, just), jet_flight_time_s(5.0, above), 1e-10);
}

// Nusselt's film by hand: 10 ml/s over 10 mm, nu = 1e-5: q = 1e-3; (9.80665e-6/3e-5)^(1/3) =
// 0.688863 m/s; its thickness q/w = 1.4517 mm carries its weight: g d^2/(3 nu) = w.
TEST(OutletJet, ANusseltFilmCarriesItsWeight) {
  const Liquid liquid{.density_kgpm3 = 1000.0, .viscosity_pas = 1e-2};
  const double film_mps = film_speed_mps(liquid, 10e-6, 10e-3, 1.0);
  EXPECT_NEAR(film_mps, 0.688863, 1e-6);
  const double thickness_m = 1e-3 / film_mps;
  EXPECT_NEAR(9.80665 * thickness_m * thickness_m / 3e-5, film_mps, 1e-12);
}

// Water, 1 mm: sqrt(8 * 0.07274 / (998.207 * 0.001)) = sqrt(0.582966) = 0.763521 m/s.
TEST(OutletJet, DribbleStartsAtWeberEight) {
  const Liquid water;
  EXPECT_NEAR(dribble_speed_mps(water, Outlet{.bore_m = 1e-3}), 0.763521, 1e-6);
  EXPECT_NEAR(dribble_speed_mps(water, Outlet{.bore_m = 4e-3}), 0.763521 / 2.0, 1e-6);
}

// 32 ml/s through 1.7 mm at Cd 1: u = 14.0983 m/s, thrust = 1000 * 32e-6 * 14.0983 = 0.451147 N;
// over 0.23 g (0.00225553 N): 200.0 times a seed's weight.
TEST(OutletJet, ThrustDwarfsASeed) {
  const Liquid liquid{.density_kgpm3 = 1000.0};
  const Outlet outlet{.bore_m = 1.7e-3, .discharge_coefficient_ratio = 1.0};
  EXPECT_NEAR(jet_thrust_over_seed_weight_ratio(liquid, outlet, 32e-6, 0.23e-3), 200.0, 0.1);
  EXPECT_EQ(jet_thrust_over_seed_weight_ratio(liquid, outlet, 0.0, 0.23e-3), 0.0);
}

}  // namespace
}  // namespace model
