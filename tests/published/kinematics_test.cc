// Where a seed and its band come to lie when the machine moves in three ways that a pencil can
// follow: constant speed, constant acceleration, constant radius. Rows are ideal (liquid leaves a
// fixed time after the command and flies a fixed time) and nothing scatters.
//
//   seed   passes the sensor at t_s, rides a geared belt: path/gear further along the row
//   band   leaves from t_on + opening delay to t_off + closing delay, lands flight time later with
//          the speed of the row, `offset` behind the seeds' line
//
// Source   kinematics of a point, worked here: x = v0 t + a t^2/2; rigid body in a turn,
//          v_row = v - omega y with y to the right and omega positive to the right
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/measure/summary.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

constexpr double kPath_m = 0.120;    // belt from sensor to release
constexpr double kOffset_m = 0.060;  // outlet behind the seeds' line
constexpr double kBand_m = 0.075;    // commanded
constexpr double kOpening_s = 2e-3;  // command to flow
constexpr double kClosing_s = 1.5e-3;
constexpr double kFlight_s = 4e-3;

sim::scenario::Scenario ideal(std::vector<std::string> more) {
  std::vector<std::string> sets = {"row.physics=ideal",
                                   "row.opening_delay=\"2 ms\"",
                                   "row.closing_delay=\"1.5 ms\"",
                                   "row.flight_time=\"4 ms\"",
                                   "delivery.path=\"120 mm\"",
                                   "delivery.gear=1",
                                   "attachment.outlet_offset=\"60 mm\"",
                                   "rate.band_length=\"75 mm\"",
                                   "noise.speed_lag=\"0 ms\"",
                                   "controller.speed_lag_compensation=\"0 ms\""};
  sets.insert(sets.end(), more.begin(), more.end());
  return sim_test::quiet_demo(sets);
}

std::vector<sim::measure::RowRecord> rows_of(const sim::scenario::Scenario& scenario) {
  sim::bench::PassRecord record =
      sim::bench::run_pass(scenario, sim::tune::tune(scenario).table, {});
  sim::measure::summarize(record.rows, scenario, record.simulated_s);
  return record.rows;
}

// 16 km/h = 4.4444 m/s. Seed: x = v t_s + 120 mm. Band start: v (t_on + 2 + 4 ms) - 60 mm, end:
// v (t_off + 1.5 + 4 ms) - 60 mm. For the centre to meet the seed the controller has to wait
// D = (120 + 60 - 37.5 mm)/v - 6 ms = 32.0625 - 6 = 26.0625 ms and to stay on for
// 75 mm/v + 0.5 ms = 17.375 ms.
TEST(Kinematics, ConstantSpeed) {
  const double v_mps = 16.0 / 3.6;
  for (const sim::measure::RowRecord& row : rows_of(ideal({}))) {
    ASSERT_GT(row.seeds.size(), 50u);
    for (const sim::measure::SeedRecord& seed : row.seeds) {
      ASSERT_EQ(seed.status, sim::measure::SeedStatus::kBanded);
      const sim::measure::BandRecord& band = band_of(row, seed);
      EXPECT_NEAR(seed.rest_x_ground_m, v_mps * seed.edge_s + kPath_m, 1e-9);
      const double start_m = v_mps * (band.open_s + kOpening_s + kFlight_s) - kOffset_m;
      const double end_m = v_mps * (band.close_s + kClosing_s + kFlight_s) - kOffset_m;
      // Parcels of 0.1 ms are 0.44 mm long: their middles carry them.
      EXPECT_NEAR(band.centre_x_ground_m, 0.5 * (start_m + end_m), 0.25e-3);
      EXPECT_NEAR(band.end_x_ground_m - band.start_x_ground_m, end_m - start_m, 0.45e-3);
      EXPECT_NEAR(band.open_s - seed.edge_s, 26.0625e-3, 40e-6);
      EXPECT_NEAR(band.close_s - band.open_s, 17.375e-3, 40e-6);
    }
  }
}

struct Ramp {
  double from_s = 1.5;
  double v0_mps = 2.0;
  double a_mps2 = 0.5;
  double to_s = 9.5;

  // x = v0 t before the ramp, then v0 t + a (t - t0)^2 / 2
  double x_m(double time_s) const {
    const double since_s = std::max(0.0, time_s - from_s);
    return v0_mps * time_s + 0.5 * a_mps2 * since_s * since_s;
  }
  double v_mps(double time_s) const { return v0_mps + a_mps2 * std::max(0.0, time_s - from_s); }
};

sim::scenario::Scenario ramp(const std::vector<std::string>& more) {
  std::vector<std::string> sets = {
      "travel.profile=[{time = \"0 s\", speed = \"2 m/s\"}, {time = \"1.5 s\", speed = \"2 m/s\"}, "
      "{time = \"9.5 s\", speed = \"6 m/s\"}]",
      "seeds=190", "row.count=1"};
  sets.insert(sets.end(), more.begin(), more.end());
  return ideal(sets);
}

// While a seed rides, the belt moves with the ground, so it still rests path/gear further on. A
// parcel that leaves at t lands v(t) * flight ahead of where the outlet is then.
TEST(Kinematics, ConstantAcceleration) {
  const Ramp truth;
  int judged = 0;
  for (const sim::measure::RowRecord& row : rows_of(ramp({})))
    for (const sim::measure::SeedRecord& seed : row.seeds) {
      if (seed.band < 0 || seed.edge_s < truth.from_s + 0.1 || seed.edge_s > truth.to_s - 0.2)
        continue;
      ++judged;
      EXPECT_NEAR(seed.rest_x_ground_m, truth.x_m(seed.edge_s) + kPath_m, 0.05e-3);
      const sim::measure::BandRecord& band = band_of(row, seed);
      const double first_s = band.open_s + kOpening_s;
      const double last_s = band.close_s + kClosing_s;
      const double start_m = truth.x_m(first_s) + truth.v_mps(first_s) * kFlight_s - kOffset_m;
      const double end_m = truth.x_m(last_s) + truth.v_mps(last_s) * kFlight_s - kOffset_m;
      // Even flow over a ramp of 0.5 m/s2 for 20 ms bends the density by 0.2 %: 0.02 mm.
      EXPECT_NEAR(band.centre_x_ground_m, 0.5 * (start_m + end_m), 0.35e-3);
      EXPECT_NEAR(seed.placement_error_m, band.centre_x_ground_m - seed.rest_x_ground_m, 1e-12);
    }
  EXPECT_GT(judged, 100);
}

// A speed that is T late is too small by a T. The controller counts b out at that speed, so it
// stops (b/v) a T behind the place that it computes, and the band is ahead of its seed by as much;
// half the band's own length, counted out in the same way, adds B/2 to b. Here b + B/2 = 120 + 60
// mm and a T = 0.15 m/s: 27 mm m/s over v, 6.75 mm at 4 m/s.
TEST(Kinematics, ALateSpeedErrsByTheDistanceTimesWhatItMisses) {
  const Ramp truth;
  const double lag_s = 0.3;
  int judged = 0;
  for (const sim::measure::RowRecord& row : rows_of(ramp({"noise.speed_lag=\"300 ms\""})))
    for (const sim::measure::SeedRecord& seed : row.seeds) {
      // The lag and the line through 2.8 s of speeds have settled 4.5 s into the ramp.
      if (seed.band < 0 || seed.edge_s < truth.from_s + 4.5 || seed.edge_s > truth.to_s - 0.2)
        continue;
      ++judged;
      const double by_hand_m =
          (kPath_m + kOffset_m) / truth.v_mps(seed.edge_s) * truth.a_mps2 * lag_s;
      EXPECT_NEAR(seed.placement_error_m / by_hand_m, 1.0, 0.15) << seed.edge_s;
    }
  EXPECT_GT(judged, 50);
}

// 4 rows of 0.762 m, middle of the machine on a radius of 60 m at 16 km/h: y = -1.143, -0.381,
// 0.381, 1.143 m, omega = v/60. Row speeds are v (1 - y/R): in a right-hand turn the left-hand row
// 0 is the outer one and 1.905 % faster, in a left turn the right-hand row 3 is.
TEST(Kinematics, ConstantRadius) {
  const double v_mps = 16.0 / 3.6;
  for (const double radius_m : {60.0, -60.0}) {
    const auto rows = rows_of(
        ideal({"row.count=4", "travel.turn_radius=\"" + std::to_string(radius_m) + " m\""}));
    double sum_mps = 0.0;
    std::vector<double> speeds_mps;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const auto& seeds = rows[i].seeds;
      const double way_m = seeds.back().rest_x_ground_m - seeds.front().rest_x_ground_m;
      speeds_mps.push_back(way_m / (seeds.back().edge_s - seeds.front().edge_s));
      const double y_m = (static_cast<double>(i) - 1.5) * 0.762;
      EXPECT_NEAR(speeds_mps.back(), v_mps * (1.0 - y_m / radius_m), 1e-6) << i;
      sum_mps += speeds_mps.back();
    }
    EXPECT_NEAR(sum_mps, 4.0 * v_mps, 1e-6);
    if (radius_m < 0.0)
      EXPECT_GT(speeds_mps[3], speeds_mps[0]);  // left turn: right-hand rows go faster
    else
      EXPECT_GT(speeds_mps[0], speeds_mps[3]);
    // Each row's controller knows its own speed: with the machine's, 180 mm/v at 1.9 % would err by
    // 3.4 mm.
    for (const sim::measure::RowRecord& row : rows)
      for (std::size_t i = 10; i < row.seeds.size(); ++i)
        EXPECT_LT(std::fabs(row.seeds[i].placement_error_m), 1.0e-3);
  }
}

// D = a + b/v of an ideal row on a geared belt: a = -(opening delay + flight time) = -(2 + 4) ms,
// b = s/g + offset - B/2 = 120/g + 60 - 37.5 mm: 142.5 mm at g = 1, 102.5 mm at g = 1.5.
TEST(Kinematics, TheDelayOfAGearedBeltInClosedForm) {
  for (const double gear_ratio : {1.0, 1.5})
    for (const char* speed : {"8 km/h", "16 km/h"}) {
      const sim::tune::TunedTable tuned =
          sim::tune::tune(ideal({"delivery.gear=" + std::to_string(gear_ratio),
                                 "travel.speed=\"" + std::string(speed) + "\""}));
      EXPECT_NEAR(tuned.delay_time_s, -6e-3, 1e-9) << speed;
      EXPECT_NEAR(tuned.delay_distance_m, 0.120 / gear_ratio + 0.0225, 1e-9) << speed;
      EXPECT_EQ(tuned.table.delay_time_us, -6000);
      EXPECT_NEAR(tuned.table.delay_distance_um, (0.120 / gear_ratio + 0.0225) * 1e6, 0.51);
      const double v_mps = std::stod(speed) / 3.6;
      EXPECT_NEAR(tuned.delay_at_speed_s, -6e-3 + (0.120 / gear_ratio + 0.0225) / v_mps, 1e-9);
    }
}

}  // namespace
