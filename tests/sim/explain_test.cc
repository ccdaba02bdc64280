#include "sim/output/explain.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/sim/demo_scenario.h"

namespace {

TEST(Explain, TheStepsOfASeedStandInOrderFromSensorToPlacement) {
  const auto scenario = sim_test::quiet_demo();
  const sim::RunResult result = sim::run_scenario(scenario, {.watch = {0, 30}});
  const auto steps = sim::explain_seed(result);
  std::vector<std::string> names;
  for (const sim::SeedStep& step : steps)
    if (step.step != "[4] event") names.push_back(step.step.substr(0, 3));
  EXPECT_EQ(names, (std::vector<std::string>{"[1]", "[2]", "[3]", "[4]", "[5]", "[6]", "[7]", "[8]",
                                             "[9]"}));
}

TEST(Explain, ItsPlacementErrorIsTheSeedTables) {
  const sim::RunResult result = sim::run_scenario(sim_test::quiet_demo(), {.watch = {0, 30}});
  char expected[32];
  std::snprintf(expected, sizeof expected, "%+.2f mm",
                result.record.rows[0].seeds[30].placement_error_m * 1e3);
  EXPECT_THAT(sim::explain_text(result), testing::HasSubstr(expected));
  const auto json = nlohmann::json::parse(sim::explain_json(result));
  EXPECT_EQ(json["row"], 0);
  EXPECT_EQ(json["seed"], 30);
}

}  // namespace
