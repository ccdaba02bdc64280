// Counters of a controller's health that have to be 0 in every run that does not say otherwise.
#include <gtest/gtest.h>

#include <utility>
#include <vector>

#include "sim/measure/summary.h"

namespace {

using sim::measure::RowRecord;
using sim::measure::Summary;
using sim::measure::Verdict;
using sim::scenario::Scenario;

// What nobody stated is required of every run, and listed only where it is violated.
TEST(HealthLimits, HealthIsRequiredUnlessTheScenarioSaysOtherwise) {
  const auto judged = [](const sillion_health& health, const Scenario& scenario) {
    std::vector<RowRecord> rows(1);
    rows[0].health = health;
    Summary s = sim::measure::summarize(rows, scenario, 12.5);
    sim::measure::require_health(s, rows, scenario);
    return s;
  };
  const Scenario plain;
  EXPECT_TRUE(judged({}, plain).requirements.empty());
  EXPECT_EQ(judged({}, plain).verdict, Verdict::kNone);
  const std::pair<const char*, sillion_health> bad[] = {
      {"queue_overflows at most", {.queue_overflows = 2}},
      {"late_compares at most", {.late_compares = 2}},
      {"capture_overflows at most", {.capture_overflows = 2}}};
  for (const auto& [name, health] : bad) {
    const Summary s = judged(health, plain);
    ASSERT_EQ(s.requirements.size(), 1u) << name;
    EXPECT_EQ(s.requirements[0].name, name);
    EXPECT_EQ(s.requirements[0].value, 2.0);
    EXPECT_EQ(s.verdict, Verdict::kFail);
  }
  Scenario stated = plain;
  stated.requirements = {{.metric = "late_compares", .bound = 5.0}};
  EXPECT_EQ(judged({.late_compares = 2}, stated).verdict, Verdict::kHold);
  EXPECT_EQ(judged({.queue_overflows = 1, .late_compares = 2}, stated).verdict, Verdict::kFail);
  // A burst of edges reaches the controller; a weak spring does not.
  Scenario faulty = plain;
  faulty.faults = {{.kind = "edge_bursts"}};
  EXPECT_EQ(judged({.capture_overflows = 2}, faulty).verdict, Verdict::kNone);
  faulty.faults = {{.kind = "weak_spring"}};
  EXPECT_EQ(judged({.capture_overflows = 2}, faulty).verdict, Verdict::kFail);
}

}  // namespace
