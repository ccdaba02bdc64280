#include "sim/bench/travel_of.h"

#include <gtest/gtest.h>

namespace {

TEST(TravelOf, ALeftTurnMakesTheRightHandRowsFaster) {
  sim::scenario::Scenario scenario;
  scenario.travel = {.speed_mps = 3.0, .turn_radius_m = -60.0};
  const auto travel = sim::bench::travel_of(scenario);
  EXPECT_GT(model::row_motion_at(travel, 2.667, 1.0).speed_mps, 3.0);
  EXPECT_LT(model::row_motion_at(travel, -2.667, 1.0).speed_mps, 3.0);
  EXPECT_NEAR(model::row_motion_at(travel, 2.667, 1.0).speed_mps, 3.0 * (1.0 + 2.667 / 60.0),
              1e-12);
}

}  // namespace
