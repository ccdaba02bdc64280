// Mistakes in suites and baselines are reported with file, line, key and the nearest valid name.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/check/baseline.h"
#include "sim/study/check/suite.h"
#include "tests/support/scratch_folder.h"

namespace sim {
namespace {

const std::string kFamily =
    "[[family]]\nname = \"a\"\nbase = \"" SILLION_SOURCE_DIR "/scenarios/demo.toml\"\n";

std::string suite_error(const std::string& text) {
  const ScratchFolder scratch;
  try {
    check::load_suite(scratch.write("suite.toml", text));
  } catch (const text::InputError& error) {
    return error.what();
  }
  return "";
}

std::string baseline_error(const std::string& text) {
  const ScratchFolder scratch;
  try {
    check::read_baseline(scratch.write("suite.baseline.tsv", text));
  } catch (const text::InputError& error) {
    return error.what();
  }
  return "";
}

void expect_in(const std::string& text, const std::vector<std::string>& words) {
  for (const std::string& word : words) EXPECT_NE(text.find(word), std::string::npos) << text;
}

TEST(BadSuite, AMissingScenarioIsToldAtItsLine) {
  expect_in(suite_error("[[family]]\nname = \"a\"\nbase = \"nowhere.toml\"\n"),
            {"suite.toml:3: family[0].base: no such file", "nowhere.toml"});
}

TEST(BadSuite, TwoFamiliesOfOneName) {
  expect_in(
      suite_error(kFamily + kFamily),
      {"suite.toml:4: family[1].name: \"a\" is also the name of the family at", "suite.toml:1"});
}

TEST(BadSuite, UnknownMetricInARequirementAndInAMargin) {
  expect_in(suite_error(kFamily + "[[family.require]]\nmetric = \"no_bnd\"\nat_most = 0\n"),
            {"suite.toml:5: require[7].metric", "nearest valid name: `no_band`"});
  expect_in(suite_error("[margin]\ngap_rato = \"1 %\"\n" + kFamily),
            {"suite.toml:2: margin.gap_rato", "nearest valid name: `gap_ratio`"});
  expect_in(suite_error("[margin]\ngap_ratio = \"1 mm\"\n" + kFamily),
            {"suite.toml:2", "gap_ratio"});
}

TEST(BadSuite, ARequirementThatCanNeverFire) {
  expect_in(suite_error(kFamily + "[[family.require]]\nnever = \"open\"\nwhile = \"lifted\"\n"),
            {"suite.toml:4", "require[7]", "can never be violated"});
}

TEST(BadSuite, UnknownKeysAndEmptyAxes) {
  expect_in(suite_error("titel = \"x\"\n" + kFamily), {"suite.toml:1: titel", "`title`"});
  expect_in(suite_error("[[family]]\nnam = \"x\"\n"),
            {"suite.toml:2: family[0].nam", "`family[0].name`"});
  expect_in(suite_error(kFamily + "axes.\"travel.speed\" = []\n"), {"suite.toml:4", "empty axis"});
  expect_in(suite_error(kFamily + "axes.\"travel.sped\" = [\"1 km/h\"]\n"),
            {"suite.toml:4", "travel.sped"});
  expect_in(suite_error(kFamily + "[family.axes.\"travel.speed\"]\nuniform = [\"1 km/h\", \"2 "
                                  "km/h\"]\n"),
            {"draws its values"});
  expect_in(suite_error("title = \"x\"\n"), {"suite.toml: family: has no family"});
  expect_in(suite_error(kFamily + "rng_keys = [3, 3]\n"), {"suite.toml:4", "3 appears twice"});
  expect_in(suite_error("[[family]]\nname = \"a/b\"\n"), {"suite.toml:2: family[0].name"});
}

TEST(BadBaseline, AnotherSchemaIsRefused) {
  expect_in(baseline_error("# sillion baseline 9\n"),
            {"suite.baseline.tsv:1", "not a baseline of this schema", "# sillion baseline 1"});
  expect_in(baseline_error(""), {"empty"});
  expect_in(baseline_error("{\"schema\": 1}\n"), {"suite.baseline.tsv:1"});
}

TEST(BadBaseline, ALineThatIsNoLineIsToldWithItsNumber) {
  const std::string head = "# sillion baseline 1\n";
  expect_in(baseline_error(head + "a\tgap_ratio\t1\n"), {"suite.baseline.tsv:2", "with tabs"});
  expect_in(baseline_error(head + "a\tgap_ratio\tx\t1\tratio\n"),
            {"suite.baseline.tsv:2: gap_ratio", "no number"});
  expect_in(baseline_error(head + "a\tgap_ratio\t1\t1\tratio\na\tgap_ratio\t1\t1\tratio\n"),
            {"suite.baseline.tsv:3: gap_ratio", "twice"});
  // a merge that was left half done
  expect_in(baseline_error(head + "<<<<<<< ours\n"), {"suite.baseline.tsv:2"});
}

}  // namespace
}  // namespace sim
