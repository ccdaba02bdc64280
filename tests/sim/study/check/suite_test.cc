// A suite's cases: grid, names, keys, and overrides that make the same scenario on a command line.
#include "sim/study/check/suite.h"

#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/text/shell_word.h"
#include "tests/support/scratch_folder.h"
#include "tests/support/small_suite.h"

namespace sim::check {
namespace {

TEST(Suite, CasesAreTheGridInTheOrderOfTheFile) {
  const ScratchFolder scratch;
  const Suite suite = load_suite(support::write_small_suite(scratch.path()));
  std::vector<std::string> ids;
  for (const SuiteCase& one : suite.cases) ids.push_back(one.id);
  EXPECT_EQ(ids, (std::vector<std::string>{"still/10 km/h", "still/16 km/h", "ramp", "row"}));
  EXPECT_EQ(suite.name, "small");
  EXPECT_EQ(suite.title, "Small suite");
  EXPECT_EQ(suite.baseline, scratch.path() / "small.baseline.tsv");
  EXPECT_TRUE(suite.cases[0].mandatory);
  EXPECT_FALSE(suite.cases[3].mandatory);
  EXPECT_EQ(suite.cases[0].scenario.requirements.size(), 4u);
  EXPECT_EQ(suite.cases[2].scenario.requirements.size(), 1u);
  EXPECT_EQ(suite.cases[0].place, (scratch.path() / "small.toml").string() + ":4");
}

// The command that a failure prints must be that very case: the same canonical text by --set alone.
TEST(Suite, SetsOfACaseMakeTheSameScenario) {
  const ScratchFolder scratch;
  for (const SuiteCase& one : load_suite(support::write_small_suite(scratch.path())).cases)
    EXPECT_EQ(scenario::canonical_text(scenario::load_scenario(one.base, one.sets)),
              scenario::canonical_text(one.scenario))
        << one.id;
}

TEST(Suite, AFamilysRequirementsStandBehindItsScenariosOwn) {
  const ScratchFolder scratch;
  const std::string text = "[[family]]\nname = \"a\"\nbase = \"" SILLION_SOURCE_DIR
                           "/scenarios/demo\"\n[[family.require]]\nmetric = \"no_band\"\nat_most = "
                           "3\n";
  const Suite suite = load_suite(support::write_small_suite(scratch.path(), text));
  ASSERT_EQ(suite.cases.size(), 1u);
  EXPECT_EQ(suite.cases[0].id, "a");
  ASSERT_EQ(suite.cases[0].scenario.requirements.size(), 8u);  // the demo has seven
  EXPECT_EQ(suite.cases[0].scenario.requirements[7].metric, "no_band");
  EXPECT_EQ(suite.cases[0].scenario.requirements[7].place,
            (scratch.path() / "small.toml").string() + ":4");
}

TEST(Suite, KeysMakeCasesAndCanBeReplaced) {
  const ScratchFolder scratch;
  const std::string text =
      "[[family]]\nname = \"a\"\nrng_keys = [4, 9]\nbase = "
      "\"" SILLION_SOURCE_DIR "/scenarios/demo\"\n";
  Suite suite = load_suite(support::write_small_suite(scratch.path(), text));
  ASSERT_EQ(suite.cases.size(), 2u);
  EXPECT_EQ(suite.cases[1].id, "a/key 9");
  EXPECT_EQ(suite.cases[1].scenario.rng_key, 9u);
  set_rng_key(suite.cases[1], 77);
  EXPECT_EQ(suite.cases[1].scenario.rng_key, 77u);
  EXPECT_EQ(suite.cases[1].sets, std::vector<std::string>{"rng_key=77"});
}

TEST(ShellWord, IsQuotedWhereAShellWouldTakeItApart) {
  EXPECT_EQ(text::shell_word("travel.speed=3"), "travel.speed=3");
  EXPECT_EQ(text::shell_word("travel.speed=12 km/h"), "'travel.speed=12 km/h'");
  EXPECT_EQ(text::shell_word("it's"), "'it'\\''s'");
  EXPECT_EQ(text::shell_word(""), "''");
}

}  // namespace
}  // namespace sim::check
