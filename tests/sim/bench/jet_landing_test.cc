// A point that lies along the tangent of a circle: its foot on the circle and its distance from it
// are plane geometry, worked here with whole right triangles.
#include "sim/bench/jet_landing.h"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using sim::bench::LandingPlace;
using sim::bench::on_tangent;

TEST(JetLanding, OnAStraightWayTheTangentIsTheTrack) {
  const LandingPlace place = on_tangent(12.0, -0.15, 4.0, 0.0);
  EXPECT_EQ(place.x_ground_m, 12.0 - 0.15);
  EXPECT_EQ(place.outward_m, 0.0);
}

TEST(JetLanding, InACurveTheFootLiesAtTheAngleOfTheRightTriangle) {
  // Legs 3 and 4, hypotenuse 5: 4 m along the tangent of a circle of 3 m lies 2 m outside it.
  const LandingPlace ahead = on_tangent(0.0, 4.0, 1.5, 0.5);
  EXPECT_NEAR(ahead.outward_m, 2.0, 1e-12);
  EXPECT_NEAR(ahead.x_ground_m, 3.0 * std::atan2(4.0, 3.0), 1e-12);
  // Behind and to the other side: the same triangle.
  const LandingPlace behind = on_tangent(0.0, -4.0, 1.5, -0.5);
  EXPECT_NEAR(behind.outward_m, 2.0, 1e-12);
  EXPECT_NEAR(behind.x_ground_m, -ahead.x_ground_m, 1e-12);
}

// A machine that turns at 8 m with a row 6 m inside: the row's own radius is 2 m. An outlet 0.15 m
// behind the drop point errs by d^3/(3 R^2) = 0.28 mm if it is laid along the arc.
TEST(JetLanding, AnOffsetAlongTheArcWouldErrByItsCubeOverThreeSquaredRadii) {
  const double offset_m = 0.15, radius_m = 2.0;
  const LandingPlace place = on_tangent(0.0, -offset_m, 1.0, 1.0 / radius_m);
  const double along_arc_m = place.x_ground_m + offset_m;
  EXPECT_NEAR(along_arc_m, std::pow(offset_m, 3) / (3.0 * radius_m * radius_m), 2e-6);
  EXPECT_NEAR(along_arc_m, 0.28e-3, 0.005e-3);
  EXPECT_NEAR(place.outward_m, offset_m * offset_m / (2.0 * radius_m), 1e-5);
}

}  // namespace
