// The way of a scenario's machine over the earth.
#include "sim/study/map/machine_way.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/text/input_error.h"

namespace {

using sim::map::laid_way;
using sim::map::LocalPlane;
using sim::map::WayPiece;

constexpr sim::map::GeoPoint kOrigin{45.5, -93.5};

TEST(MachineWay, AStraightPassGoesOnUntilItsSeedsArePassed) {
  sim::scenario::Scenario scenario;
  scenario.travel.speed_mps = 4.0;
  scenario.seeding.meter.spacing_m = 0.2;
  scenario.seeds = 99;
  const std::vector<WayPiece> way = laid_way(scenario, {.origin = kOrigin});
  EXPECT_NEAR(way.back().until_s, 100 * 0.2 / 4.0 + 2.0, 0.2);
  const auto end = LocalPlane(kOrigin).plane_of(way.back().until);
  EXPECT_NEAR(end.north_m, way.back().until_s * 4.0, 1e-3);
  EXPECT_NEAR(end.east_m, 0.0, 1e-6);
  for (std::size_t k = 1; k < way.size(); ++k) EXPECT_EQ(way[k].from_s, way[k - 1].until_s);
}

// A right-hand turn of 20 m: after a quarter of the circle the machine is 20 m east and north.
TEST(MachineWay, ACurveTurns) {
  sim::scenario::Scenario scenario;
  scenario.travel.speed_mps = 4.0;
  scenario.travel.turn_radius_m = 20.0;
  scenario.duration_s = 0.5 * 3.14159265358979 * 20.0 / 4.0;
  const std::vector<WayPiece> way = laid_way(scenario, {.origin = kOrigin});
  const auto piece = LocalPlane(kOrigin).plane_of(way.back().until);
  EXPECT_NEAR(piece.east_m, 20.0, 0.5);  // the last piece ends up to 0.1 s later
  EXPECT_NEAR(piece.north_m, 20.0, 0.1);
  EXPECT_THROW(laid_way(scenario, {.origin = kOrigin, .pass_length_m = 50.0}),
               sim::text::InputError);
}

}  // namespace
