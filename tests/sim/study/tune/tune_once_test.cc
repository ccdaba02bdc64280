// Scenarios that differ in nothing a table depends on share one table; all others get their own.
#include "sim/study/tune/tune_once.h"

#include <gtest/gtest.h>

#include "sim/study/tune/kept_text.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

/// Compares every member to the bit.
bool same_table(const sim::tune::TunedTable& a, const sim::tune::TunedTable& b) {
  return sim::tune::table_text(a) == sim::tune::table_text(b);
}

// Keys, seeds, duration, turns, faults and requirements do not enter a table: the tuned one stays
// the same to the bit, and therefore it can be shared.
TEST(TuneOnce, WhatATableDoesNotRestOnChangesNoneOfIt) {
  const sim::tune::TunedTable plain = sim::tune::tune(sim_test::quiet_demo());
  for (const std::vector<std::string>& sets : std::vector<std::vector<std::string>>{
           {"rng_key=77"},
           {"seeds=9"},
           {"duration=3 s"},
           {"travel.turn_radius=60 m"},
           {"require=[]"},
           {"work.lift_times=[\"2 s\", \"3 s\"]"},
           {"noise.outlet_bore=5 %", "noise.speed_noise=1 m/s", "clock.drift=90 ppm",
            "sensor.jitter=2 ms", "flow_meter.pulses_per_litre=100", "row.count=5",
            "controller.row_trim=true", "controller.strip_test_bands=7",
            "controller.strip_test_reading=3 mm", "tuning.speeds=4"}})
    EXPECT_TRUE(same_table(plain, sim::tune::tune(sim_test::quiet_demo(sets)))) << sets.front();
  EXPECT_TRUE(
      same_table(plain, sim::tune::tune(sim::tune::strip_scenario(sim_test::quiet_demo()))));
  EXPECT_TRUE(same_table(plain, sim::tune::tune_once(sim_test::quiet_demo({"rng_key=5"}))));
}

TEST(TuneOnce, WhatATableRestsOnGivesAnother) {
  const sim::tune::TunedTable plain = sim::tune::tune_once(sim_test::quiet_demo());
  for (const char* set :
       {"travel.speed=9 km/h", "liquid.temperature=4 C", "controller.delay_time_error=1 ms"}) {
    const sim::scenario::Scenario other = sim_test::quiet_demo({set});
    EXPECT_FALSE(same_table(plain, sim::tune::tune_once(other))) << set;
    EXPECT_TRUE(same_table(sim::tune::tune(other), sim::tune::tune_once(other))) << set;
  }
}

}  // namespace
