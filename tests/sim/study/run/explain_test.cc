#include "sim/study/run/explain.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include <nlohmann/json.hpp>

#include "tests/sim/demo_scenario.h"

namespace {

TEST(Explain, TheStepsOfASeedStandInOrderFromSensorToPlacement) {
  const auto scenario = sim_test::quiet_demo();
  const sim::run::RunResult result = sim::run::run_scenario(scenario, {.watch = {0, 30}});
  const auto steps = sim::run::explain_seed(result);
  std::vector<std::string> names;
  for (const sim::bench::SeedStep& step : steps)
    if (step.step != "[4] event") names.push_back(step.step.substr(0, 3));
  EXPECT_EQ(names, (std::vector<std::string>{"[1]", "[2]", "[3]", "[4]", "[5]", "[6]", "[7]", "[8]",
                                             "[9]"}));
}

/// The steps of one seed, after a check that their times are numbers and in order.
std::vector<sim::bench::SeedStep> steps_of(const sim::scenario::Scenario& scenario, int seed) {
  const sim::run::RunResult result = sim::run::run_scenario(scenario, {.watch = {0, seed}});
  std::vector<sim::bench::SeedStep> steps = sim::run::explain_seed(result);
  for (std::size_t k = 0; k < steps.size(); ++k) {
    EXPECT_TRUE(std::isfinite(steps[k].time_s)) << steps[k].step;
    EXPECT_GE(steps[k].time_s, steps[k == 0 ? 0 : k - 1].time_s) << steps[k].step;
  }
  const std::string text = sim::run::explain_text(result);
  EXPECT_THAT(text, testing::Not(testing::HasSubstr("nan")));
  EXPECT_THAT(text, testing::Not(testing::HasSubstr("0.00 A")));
  return steps;
}

sim::scenario::Scenario of_kind(const std::string& physics, const std::string& delivery) {
  return sim_test::quiet_demo(
      {"row.physics=\"" + physics + "\"", "row.count=1", "delivery.kind=\"" + delivery + "\""});
}

// The conveyor releases a seed while its pulse is on the way, a gravity tube long before. The first
// seed of a row has no seed before it.
TEST(Explain, StepsStandInOrderOfTimeOnEveryKindOfRow) {
  for (const char* physics : {"full", "ideal"})
    for (const char* delivery : {"conveyor", "gravity"})
      for (const int seed : {0, 30}) {
        SCOPED_TRACE(std::string(physics) + " " + delivery + " " + std::to_string(seed));
        const std::vector<sim::bench::SeedStep> steps = steps_of(of_kind(physics, delivery), seed);
        ASSERT_FALSE(steps.empty());
        EXPECT_EQ(steps.front().step, "[1] meter");
        EXPECT_EQ(steps.back().step, "[9] placement");
      }
}

// An ideal row has neither coil nor plunger, so neither is mentioned; its valve opens 1 ms after
// the open command, as row.opening_delay says.
TEST(Explain, AnIdealRowIsToldAsOne) {
  const std::vector<sim::bench::SeedStep> steps = steps_of(of_kind("ideal", "conveyor"), 30);
  double open_s = 0.0, opens_s = 0.0;
  for (const sim::bench::SeedStep& step : steps) {
    EXPECT_NE(step.step, "[5] valve drive");
    EXPECT_NE(step.step, "[6] plunger");
    if (step.step == "[4] controller") open_s = step.time_s;
    if (step.step == "[6] ideal valve") opens_s = step.time_s;
  }
  EXPECT_NEAR(opens_s - open_s, 1e-3, 1e-9);
}

TEST(Explain, ItsPlacementErrorIsTheSeedTables) {
  const sim::run::RunResult result =
      sim::run::run_scenario(sim_test::quiet_demo(), {.watch = {0, 30}});
  char expected[32];
  std::snprintf(expected, sizeof expected, "%+.2f mm",
                result.record.rows[0].seeds[30].placement_error_m * 1e3);
  EXPECT_THAT(sim::run::explain_text(result), testing::HasSubstr(expected));
  const auto json = nlohmann::json::parse(sim::run::explain_json(result));
  EXPECT_EQ(json["row"], 0);
  EXPECT_EQ(json["seed"], 30);
}

// The pass may end once the seed's band lies: the report on the seed is that of the whole pass, for
// seeds with a band of their own, merged ones, unseen ones, and the last of the row.
TEST(Explain, EndingOnceTheBandLiesTellsTheSame) {
  const auto scenario =
      sim_test::demo({"seeds=120", "row.count=2", "controller.row_trim=false", "sensor.missed=5 %",
                      "seeding.doubles=8 %", "row.physics=\"ideal\""});
  int compared = 0;
  for (const int seed : {0, 1, 17, 40, 41, 42, 43, 60, 77, 119}) {
    const sim::run::RunResult whole = sim::run::run_scenario(scenario, {.watch = {1, seed}});
    const sim::run::RunResult part =
        sim::run::run_scenario(scenario, {.watch = {1, seed}, .until_watched = true});
    if (sim::run::goes_on(part)) continue;  // a stretch that goes on needs the whole pass
    ++compared;
    EXPECT_EQ(sim::run::explain_text(part), sim::run::explain_text(whole)) << seed;
    if (seed < 60) {
      EXPECT_LT(part.record.simulated_s, 0.8 * whole.record.simulated_s) << seed;
    }
  }
  EXPECT_GE(compared, 8);
}

// The first line says how the seed ended and what caused it, the largest part first: here the delay
// table fires 2 ms late, which at 16 km/h is 8.9 mm ahead (2 ms * 4.444 m/s), and nothing else is
// wrong.
TEST(Explain, BeginsWithTheErrorAndItsMainCause) {
  const auto thrown = sim_test::quiet_demo({"delivery.rest_scatter=6 mm", "rng_key=3"});
  sim::run::RunResult result = sim::run::run_scenario(thrown, {.watch = {0, 30}});
  EXPECT_THAT(sim::run::explain_text(result), testing::StartsWith("The band lies "));
  EXPECT_THAT(sim::run::explain_sentence(result),
              testing::HasSubstr("main cause: where the seed came to rest"));
  const auto late = sim_test::quiet_demo({"controller.delay_time_error=2 ms"});
  result = sim::run::run_scenario(late, {.watch = {0, 30}});
  result.tuned.table.delay_time_us -= 2000;  // as if the table had been meant to fire 2 ms earlier
  EXPECT_THAT(sim::run::explain_sentence(result),
              testing::HasSubstr("main cause: when the valve was commanded (+8."));
}

}  // namespace
