// A limits file: what it may say, and how it is refused.
#include "sim/study/valve/valve_limits.h"

#include <gtest/gtest.h>

#include <fstream>
#include <set>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace sim::valve {
namespace {

std::string refusal(const std::string& text) {
  const ScratchFolder folder;
  const auto file = folder.path() / "limits.toml";
  std::ofstream(file) << text;
  try {
    read_valve_limits(file);
  } catch (const text::InputError& error) {
    return error.what();
  }
  return {};
}

TEST(ValveLimits, AreReadInTheOrderOfTheVerdict) {
  const ScratchFolder folder;
  const auto file = folder.path() / "limits.toml";
  std::ofstream(file) << "note = \"mine\"\n[limits]\nlife_used_at_most = \"90 %\"\n"
                         "opening_at_most = \"2.5 ms\"\nsupply_at_least = \"11.5 V\"\n";
  const ValveLimits limits = read_valve_limits(file);
  ASSERT_EQ(limits.limits.size(), 3u);
  EXPECT_EQ(limits.note, "mine");
  EXPECT_EQ(limits.limits[0].kind->key, "supply_at_least");
  EXPECT_DOUBLE_EQ(limits.limits[1].limit_si, 2.5e-3);
  EXPECT_EQ(limits.limits[1].place.line, 4);
  EXPECT_DOUBLE_EQ(limits.limits[2].limit_si, 0.9);
}

TEST(ValveLimits, AreRefusedWithLineAndNearestName) {
  EXPECT_NE(refusal("[limits]\nopening_at_moist = \"2 ms\"\n").find("`opening_at_most`"),
            std::string::npos);
  EXPECT_NE(refusal("[limits]\nopening_at_most = \"2 bar\"\n").find("limits.toml:2"),
            std::string::npos);
  EXPECT_NE(refusal("[limits]\nopening_at_most = 2\n").find("limits.opening_at_most"),
            std::string::npos);
  EXPECT_NE(refusal("note = \"none\"\n").find("at least one"), std::string::npos);
  EXPECT_NE(refusal("[limits]\n").find("at least one"), std::string::npos);
  EXPECT_NE(refusal("[limitz]\nopening_at_most = \"2 ms\"\n").find("limits"), std::string::npos);
}

TEST(ValveLimits, TheOldNameIsRefusedWithTheNewOne) {
  const std::string said = refusal("[limits]\nlowest_rate_at_most = \"150 ml/min\"\n");
  for (const char* word :
       {"limits.toml:2", "limits.lowest_rate_at_most", "`smallest_dose_at_most`"})
    EXPECT_NE(said.find(word), std::string::npos) << said;
}

TEST(ValveLimits, EveryKindHasWordsAndAKeyOfItsOwn) {
  std::set<std::string_view> keys;
  for (const ValveLimitKind& kind : valve_limit_kinds()) {
    EXPECT_TRUE(keys.insert(kind.key).second) << kind.key;
    EXPECT_FALSE(kind.name.empty() || kind.verdict.empty() || kind.next.empty()) << kind.key;
    EXPECT_EQ(kind.key.ends_with(kind.at_most ? "at_most" : "at_least"), true) << kind.key;
  }
}

TEST(ValveLimits, TheDemosSayThatTheyAreExamples) {
  const ValveLimits limits =
      read_valve_limits(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve_limits.toml");
  EXPECT_NE(limits.note.find("examples of this project"), std::string::npos);
}

}  // namespace
}  // namespace sim::valve
