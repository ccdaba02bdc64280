// Each effect's ideal takes away what it names and nothing else that draws.
#include "sim/study/budget/budget_effects.h"

#include <gtest/gtest.h>

#include <set>

#include "sim/bench/row_fixed.h"
#include "sim/bench/seed_way.h"
#include "sim/bench/travel_of.h"
#include "sim/scenario/loader.h"
#include "tests/sim/demo_scenario.h"

namespace {

const sim::budget::BudgetEffect& effect(std::string_view key) {
  for (const sim::budget::BudgetEffect& one : sim::budget::budget_effects())
    if (one.key == key) return one;
  ADD_FAILURE() << "no effect " << key;
  return sim::budget::budget_effects().front();
}

sim::bench::SeedWay way_of(const sim::scenario::Scenario& scenario) {
  return sim::bench::lay_out_seeds(scenario, sim::bench::travel_of(scenario),
                                   sim::bench::nominal_row(scenario, 0),
                                   {.rng_key = scenario.rng_key}, 0);
}

TEST(BudgetEffects, HaveNamesOfTheirOwnAndSayTheirIdeal) {
  std::set<std::string_view> keys, names;
  for (const sim::budget::BudgetEffect& one : sim::budget::budget_effects()) {
    EXPECT_TRUE(keys.insert(one.key).second) << one.key;
    EXPECT_TRUE(names.insert(one.name).second) << one.name;
    EXPECT_FALSE(one.ideal.empty()) << one.key;
  }
}

// Every part that a grower may ask for must be there, and also the part that no pass models.
TEST(BudgetEffects, ListEveryPartThatIsAskedFor) {
  for (const char* key : {"seed_scatter", "delivery_time", "seed_bounce", "sensor", "speed_signal",
                          "clock", "valve", "column", "jet", "pressure", "flow_meter", "radio"})
    EXPECT_EQ(effect(key).key, key);
  EXPECT_FALSE(effect("radio").modelled);
  EXPECT_FALSE(effect("radio").present(sim_test::demo()));
}

TEST(BudgetEffects, TheQuietScenarioHasNoneThatDraws) {
  const sim::scenario::Scenario quiet = sim_test::quiet_demo();
  for (const char* key : {"seed_scatter", "doubles_and_skips", "sensor", "delivery_time",
                          "seed_bounce", "clock", "strip_reading", "flow_meter", "faults"})
    EXPECT_FALSE(effect(key).present(quiet)) << key;
}

TEST(BudgetEffects, AnIdealTwiceIsTheIdeal) {
  for (const sim::budget::BudgetEffect& one : sim::budget::budget_effects()) {
    sim::scenario::Scenario once = sim_test::demo();
    one.make_ideal(once);
    sim::scenario::Scenario twice = once;
    one.make_ideal(twice);
    EXPECT_EQ(sim::scenario::canonical_text(once), sim::scenario::canonical_text(twice)) << one.key;
    EXPECT_EQ(once.rng_key, sim_test::demo().rng_key) << one.key;
    EXPECT_EQ(once.seeds, sim_test::demo().seeds) << one.key;
  }
}

// Without doubles and skips the seeds that stay keep number, place at the sensor and every draw.
TEST(BudgetEffects, AnIdealMeterLeavesTheOtherSeedsWhereTheyWere) {
  const sim::scenario::Scenario scenario =
      sim_test::demo({"seeding.doubles=\"10 %\"", "seeding.skips=\"10 %\""});
  sim::scenario::Scenario single = scenario;
  effect("doubles_and_skips").make_ideal(single);
  const sim::bench::SeedWay before = way_of(scenario), after = way_of(single);
  std::size_t kept = 0, filled = 0;
  for (const sim::measure::SeedRecord& seed : after.seeds) {
    if (seed.number >= before.seeds.size()) {
      ++filled;
      continue;
    }
    ++kept;
    EXPECT_EQ(seed.edge_s, before.seeds[seed.number].edge_s);
    EXPECT_EQ(seed.rest_x_ground_m, before.seeds[seed.number].rest_x_ground_m);
  }
  EXPECT_GT(filled, 5u);
  EXPECT_LT(kept + 5u, before.seeds.size());  // second seeds of doubles are gone
  // one seed a slot: no gap of two spacings, though the places still scatter
  for (std::size_t k = 1; k < after.seeds.size(); ++k)
    EXPECT_LT(after.seeds[k].rest_x_ground_m - after.seeds[k - 1].rest_x_ground_m, 0.29);
}

TEST(BudgetEffects, EvenPlacesAreEvenAndKeepTheDrawsBelowTheSensor) {
  sim::scenario::Scenario scenario =
      sim_test::demo({"delivery.rest_scatter=\"0 mm\"", "delivery.time_scatter=\"0 ms\""});
  effect("doubles_and_skips").make_ideal(scenario);
  sim::scenario::Scenario even = scenario;
  effect("seed_scatter").make_ideal(even);
  const sim::bench::SeedWay way = way_of(even);
  for (std::size_t k = 1; k < way.seeds.size(); ++k)
    EXPECT_NEAR(way.seeds[k].rest_x_ground_m - way.seeds[k - 1].rest_x_ground_m, 0.15, 1e-9);
  const sim::bench::SeedWay uneven = way_of(scenario);
  for (std::size_t k = 0; k < way.seeds.size(); ++k)
    EXPECT_EQ(way.seeds[k].number, uneven.seeds[k].number);
}

TEST(BudgetEffects, MeasuredSpacingsBecomeTheirMean) {
  sim::scenario::Scenario scenario = sim_test::quiet_demo();
  scenario.seeds = 13;
  scenario.seeding.spacings_m = {0.1, 0.2, 0.3};
  EXPECT_TRUE(effect("seed_scatter").present(scenario));
  EXPECT_FALSE(effect("doubles_and_skips").present(scenario));
  effect("seed_scatter").make_ideal(scenario);
  const sim::bench::SeedWay way = way_of(scenario);
  ASSERT_EQ(way.seeds.size(), 13u);
  for (std::size_t k = 1; k < way.seeds.size(); ++k)
    EXPECT_NEAR(way.seeds[k].rest_x_ground_m - way.seeds[k - 1].rest_x_ground_m, 0.2, 1e-9);
}

// A free fall bounces forward only; its ideal is the mean that the table knows, not no bounce.
TEST(BudgetEffects, TheIdealBounceOfAFreeFallIsItsMean) {
  sim::scenario::Scenario scenario =
      sim_test::quiet_demo({"delivery.kind=\"gravity\"", "seeds=300"});
  sim::scenario::Scenario still = scenario;
  still.delivery.roll_scatter_m = 0.0;
  effect("seed_bounce").make_ideal(scenario);
  const sim::bench::SeedWay way = way_of(scenario), without = way_of(still);
  const double mean_m = model::mean_bounce_m(scenario.delivery, scenario.travel.speed_mps);
  EXPECT_GT(mean_m, 0.01);
  for (std::size_t k = 0; k < way.seeds.size(); ++k)
    EXPECT_NEAR(way.seeds[k].rest_x_ground_m - without.seeds[k].rest_x_ground_m, mean_m, 1e-12);
}

}  // namespace
