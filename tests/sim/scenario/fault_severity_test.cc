// Severities of faults: every kind has three that grow, and a scenario may state one in place of
// the sizes.
#include "sim/scenario/fault_severity.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/faults/catalog.h"
#include "sim/text/input_error.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::scenario::FaultEntry;
using sim::scenario::Severity;
using testing::HasSubstr;

FaultEntry entry_of(const std::string& table) {
  return sim_test::demo({"fault=[" + table + "]"}).faults.at(0);
}

std::string error_of(const std::string& table) {
  try {
    entry_of(table);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

TEST(Severity, EveryKindHasThreeThatGrow) {
  for (const sim::scenario::FaultKind& kind : sim::scenario::fault_kinds()) {
    double before = 0.0;  // tidy: unit is that of the size
    for (const Severity severity : {Severity::kMild, Severity::kMedium, Severity::kSevere}) {
      FaultEntry entry{.kind = kind.name, .from_s = 0.0};
      sim::scenario::take_severity(entry, severity);
      const double lasts_s = entry.until_s < 1e8 ? entry.until_s : 0.0;
      // One of them is the fault's size; what it has besides stays the same.
      const double size = entry.amount_ratio * 1e3 + entry.by_s + lasts_s + entry.bits;
      if (kind.name != "storage_worn") {  // has no size
        EXPECT_GT(size, before) << kind.name;
      }
      before = size;
      EXPECT_LE(entry.amount_ratio, 1.0) << kind.name;
    }
    EXPECT_NE(sim::scenario::severity_words(kind.name), "") << kind.name;
  }
}

TEST(Severity, AScenarioStatesItInPlaceOfSizes) {
  const FaultEntry late = entry_of("{kind = \"late_edges\", severity = \"medium\"}");
  EXPECT_DOUBLE_EQ(late.by_s, 2e-3);
  const FaultEntry lost =
      entry_of("{kind = \"lost_speed\", from = \"2 s\", severity = \"severe\"}");
  EXPECT_DOUBLE_EQ(lost.until_s, 3.5);
  // What is stated besides holds.
  const FaultEntry longer =
      entry_of("{kind = \"lost_speed\", from = \"2 s\", until = \"9 s\", severity = \"severe\"}");
  EXPECT_DOUBLE_EQ(longer.until_s, 9.0);
  const FaultEntry doubled =
      entry_of("{kind = \"doubled_edges\", by = \"1 ms\", severity = \"mild\"}");
  EXPECT_DOUBLE_EQ(doubled.by_s, 1e-3);
  EXPECT_DOUBLE_EQ(doubled.amount_ratio, 0.03);
}

TEST(Severity, AWordThatIsNoneIsNamed) {
  EXPECT_THAT(error_of("{kind = \"late_edges\", severity = \"midium\"}"),
              HasSubstr("fault[0].severity"));
  EXPECT_THAT(error_of("{kind = \"late_edges\", severity = \"midium\"}"), HasSubstr("medium"));
  EXPECT_THAT(error_of("{kind = \"late_edges\"}"), HasSubstr("fault[0].by"));
}

// 16 km/h are 4.44 mm per ms.
TEST(Severity, WordsAreInTradeUnits) {
  EXPECT_EQ(sim::scenario::severity_words("late_edges"),
            "0.5 ms, 2 ms, 5 ms (2, 9, 22 mm at 16 km/h)");
  EXPECT_EQ(sim::scenario::severity_words("lost_edges"), "3 %, 10 %, 30 %");
  EXPECT_EQ(sim::scenario::severity_words("lost_speed"),
            "for 0.25 s, 0.5 s, 1.5 s (1.1, 2.2, 6.7 m at 16 km/h)");
}

}  // namespace
