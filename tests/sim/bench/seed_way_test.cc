#include "sim/bench/seed_way.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/travel_of.h"

namespace {

sim::bench::SeedWay lay_out(const sim::scenario::Scenario& scenario,
                            const sim::bench::RowFixed& row) {
  return sim::bench::lay_out_seeds(scenario, sim::bench::travel_of(scenario), row,
                                   {.rng_key = scenario.rng_key}, 0);
}

sim::scenario::Scenario quiet() {
  sim::scenario::Scenario scenario;
  scenario.seeds = 50;
  scenario.seeding.meter.scatter_ratio = scenario.seeding.meter.doubles_ratio =
      scenario.seeding.meter.skips_ratio = 0.0;
  scenario.delivery.time_scatter_s = scenario.delivery.rest_scatter_m = 0.0;
  scenario.sensor.sensor.missed_ratio = scenario.sensor.sensor.doubled_ratio =
      scenario.sensor.sensor.jitter_s = 0.0;
  return scenario;
}

// A geared belt lays the seed path/gear after the place where it passed the sensor, whatever the
// speed.
TEST(SeedWay, AQuietConveyorRowIsEvenAndEverySeedIsSensed) {
  const sim::scenario::Scenario scenario = quiet();
  const sim::bench::SeedWay way = lay_out(scenario, sim::bench::nominal_row(scenario, 0));
  ASSERT_EQ(way.seeds.size(), 50u);
  ASSERT_EQ(way.edges.size(), 50u);
  for (std::size_t k = 1; k < way.seeds.size(); ++k)
    EXPECT_NEAR(way.seeds[k].rest_x_ground_m - way.seeds[k - 1].rest_x_ground_m, 0.15, 1e-9);
  const double sensor_x_m = way.seeds[0].edge_s * scenario.travel.speed_mps;
  EXPECT_NEAR(way.seeds[0].rest_x_ground_m - sensor_x_m,
              scenario.delivery.path_m / scenario.delivery.gear_ratio, 1e-9);
  EXPECT_TRUE(std::all_of(way.seeds.begin(), way.seeds.end(),
                          [](const auto& seed) { return seed.sensed; }));
}

TEST(SeedWay, AGearedBeltFollowsTheGroundWhileTheMachineSpeedsUp) {
  sim::scenario::Scenario scenario = quiet();
  scenario.travel.profile = {{.time_s = 0.0, .speed_mps = 2.0}, {.time_s = 10.0, .speed_mps = 7.0}};
  const sim::bench::SeedWay way = lay_out(scenario, sim::bench::nominal_row(scenario, 0));
  const auto travel = sim::bench::travel_of(scenario);
  for (const auto& seed : way.seeds) {
    const double sensor_x_m =
        model::row_motion_at(travel, sim::bench::nominal_row(scenario, 0).y_unit_m, seed.edge_s)
            .x_ground_m;
    EXPECT_NEAR(seed.rest_x_ground_m - sensor_x_m, 0.12, 2e-5);
  }
}

TEST(SeedWay, ALateEdgeFaultMovesEdgesAndNotSeeds) {
  sim::scenario::Scenario scenario = quiet();
  const auto before = lay_out(scenario, sim::bench::nominal_row(scenario, 0));
  scenario.faults = {{.kind = "late_edges", .by_s = 4e-3}};
  const auto after = lay_out(scenario, sim::bench::nominal_row(scenario, 0));
  for (std::size_t k = 0; k < before.seeds.size(); ++k) {
    EXPECT_EQ(before.seeds[k].rest_x_ground_m, after.seeds[k].rest_x_ground_m);
    EXPECT_NEAR(after.edges[k].rising_s - before.edges[k].rising_s, 4e-3, 1e-12);
  }
}

TEST(SeedWay, MeasuredSpacingsArePlayedInOrder) {
  sim::scenario::Scenario scenario = quiet();
  scenario.seeding.spacings_m = {0.1, 0.2, 0.3};
  const auto way = lay_out(scenario, sim::bench::nominal_row(scenario, 0));
  EXPECT_NEAR(way.seeds[1].rest_x_ground_m - way.seeds[0].rest_x_ground_m, 0.1, 1e-9);
  EXPECT_NEAR(way.seeds[3].rest_x_ground_m - way.seeds[2].rest_x_ground_m, 0.3, 1e-9);
  EXPECT_NEAR(way.seeds[4].rest_x_ground_m - way.seeds[3].rest_x_ground_m, 0.1, 1e-9);
}

}  // namespace
