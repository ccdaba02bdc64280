// One table for scenarios that differ in nothing a table rests on, another for all others.
#include "sim/study/tune/tune_once.h"

#include <gtest/gtest.h>

#include <cstring>

#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

bool same_table(const sim::tune::TunedTable& a, const sim::tune::TunedTable& b) {
  return std::memcmp(&a.table, &b.table, sizeof a.table) == 0 && a.lead_s == b.lead_s &&
         a.delay_distance_m == b.delay_distance_m && a.pressure_pa == b.pressure_pa;
}

// Keys, seeds, duration, turns, faults and requirements are no part of a table: the tuned one is
// the same to the bit, which is what sharing it rests on.
TEST(TuneOnce, WhatATableDoesNotRestOnChangesNoneOfIt) {
  const sim::tune::TunedTable plain = sim::tune::tune(sim_test::quiet_demo());
  for (const std::vector<std::string>& sets :
       std::vector<std::vector<std::string>>{{"rng_key=77"},
                                             {"seeds=9"},
                                             {"duration=3 s"},
                                             {"travel.turn_radius=60 m"},
                                             {"require=[]"},
                                             {"work.lift_times=[\"2 s\", \"3 s\"]"}})
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
