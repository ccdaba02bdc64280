#include "sim/bench/ground.h"

#include <gtest/gtest.h>

namespace {

constexpr double kDt_s = 1e-4;
constexpr double kFlow_m3ps = 1e-5;
constexpr double kSpeed_mps = 2.0;

// A machine at 2 m/s whose liquid lands below the outlet at once: what leaves at t lies at 2 t.
struct Machine {
  sim::bench::SeedWay way;
  sim::measure::RowRecord record;

  explicit Machine(std::vector<double> rests_m) {
    for (const double rest_m : rests_m) {
      sim::measure::SeedRecord seed;
      seed.rest_x_ground_m = rest_m;
      way.seeds.push_back(seed);
    }
    way.rest_sorted_m = rests_m;
    record.seeds = way.seeds;
  }

  // Pulses as on and off instants; the outlet follows at once.
  void drive(const sim::bench::GroundRules& rules,
             const std::vector<std::pair<double, double>>& pulses, double until_s) {
    sim::bench::Ground ground(rules, way, record);
    std::size_t next = 0;
    bool on = false;
    for (int step = 0; step * kDt_s < until_s; ++step) {
      const double time_s = step * kDt_s;
      if (!on && next < pulses.size() && time_s >= pulses[next].first - 1e-9) {
        ground.valve_commanded_on(pulses[next].first, kFlow_m3ps);
        on = true;
      }
      if (on && time_s >= pulses[next].second - 1e-9) {
        ground.valve_commanded_off(pulses[next].second);
        on = false;
        ++next;
      }
      const double flow_m3ps = on ? kFlow_m3ps : 0.0;
      ground.take(time_s + kDt_s, flow_m3ps * kDt_s, flow_m3ps, 5.0,
                  kSpeed_mps * (time_s + 0.5 * kDt_s));
    }
    ground.finish();
  }
};

sim::bench::GroundRules rules() {
  return {.band_length_m = 0.04, .commanded_dose_m3 = kFlow_m3ps * 0.02, .owned_after_s = 0.0};
}

// On from 0.10 to 0.12 s at 2 m/s: liquid from 0.20 to 0.24 m, 0.2 ml, and the seed at 0.22 m in
// its middle.
TEST(Ground, AnEvenPulseIsABandWhereTheMachineWas) {
  Machine machine({0.22});
  machine.drive(rules(), {{0.10, 0.12}}, 0.2);
  ASSERT_EQ(machine.record.bands.size(), 1u);
  const sim::measure::BandRecord& band = machine.record.bands[0];
  EXPECT_NEAR(band.start_x_ground_m, 0.20, 2e-4);
  EXPECT_NEAR(band.end_x_ground_m, 0.24, 2e-4);
  EXPECT_NEAR(band.dose_m3, 2e-7, 1e-15);
  EXPECT_EQ(band.nearest_seed, 0);
  EXPECT_NEAR(band.on_target_ratio, 1.0, 1e-9);
  EXPECT_NEAR(machine.record.outside_volume_m3, 0.0, 1e-18);
}

TEST(Ground, LiquidBeyondEveryWantedBandIsOutside) {
  Machine machine({0.23});  // wanted 0.21 to 0.25: a quarter of the pulse lies before it
  machine.drive(rules(), {{0.10, 0.12}}, 0.2);
  EXPECT_NEAR(machine.record.outside_volume_m3 / machine.record.applied_volume_m3, 0.25, 0.006);
  EXPECT_NEAR(machine.record.bands[0].on_target_ratio, 0.75, 0.006);
}

TEST(Ground, EachPulseOwnsWhatLeavesAfterItsOwnCommand) {
  Machine machine({0.22, 0.42});
  sim::bench::GroundRules late = rules();
  // a column that answers 5 ms later: the first quarter of each pulse goes to the pulse before
  late.owned_after_s = 0.005;
  machine.drive(late, {{0.10, 0.12}, {0.20, 0.22}}, 0.3);
  ASSERT_EQ(machine.record.bands.size(), 2u);
  EXPECT_NEAR(machine.record.bands[0].dose_m3, 2e-7, 3e-9);
  EXPECT_NEAR(machine.record.bands[1].dose_m3, 1.5e-7, 3e-9);
}

TEST(Ground, AStretchOverTwoSeedsSaysHowMuchOfEachIsCovered) {
  Machine machine({0.22, 0.24, 0.26});
  // 0.20 to 0.26 m: covers the first two wholly, half of the third
  machine.drive(rules(), {{0.10, 0.13}}, 0.2);
  const sim::measure::BandRecord& band = machine.record.bands[0];
  ASSERT_EQ(band.covered_count, 3);
  EXPECT_NEAR(machine.record.covered[0].covered_ratio, 1.0, 0.03);
  EXPECT_NEAR(machine.record.covered[1].covered_ratio, 1.0, 0.03);
  EXPECT_NEAR(machine.record.covered[2].covered_ratio, 0.5, 0.03);
}

TEST(Ground, ALongStretchKeepsItsVolumeWhenItIsThinned) {
  Machine machine({1.0});
  machine.drive(rules(), {{0.10, 10.10}}, 10.2);  // 100 000 steps: more parcels than are kept
  ASSERT_EQ(machine.record.bands.size(), 1u);
  EXPECT_NEAR(machine.record.bands[0].dose_m3, kFlow_m3ps * 10.0, 1e-12);
  EXPECT_NEAR(machine.record.bands[0].start_x_ground_m, 0.2, 2e-3);
  EXPECT_NEAR(machine.record.bands[0].end_x_ground_m, 20.2, 2e-3);
}

}  // namespace
