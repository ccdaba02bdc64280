// Shrinking a case whose verdicts are known, so that no pass is needed.
#include "sim/study/search/shrink_case.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/support/scratch_folder.h"

namespace {

using sim::search::Changes;
using sim::search::JudgedPass;
using sim::search::PassState;
using sim::search::Search;
using sim::search::ShrunkCase;
using testing::IsEmpty;

/// A search over a share from 0 to 8 % that is 0 in the scenario, and a population that is 60
/// thousand/ha there.
Search two_ranges(const ScratchFolder& scratch) {
  const std::filesystem::path file = scratch.write(
      "case.toml",
      "base = \"" SILLION_SOURCE_DIR
      "/scenarios/pull_request_still.toml\"\n[seeding]\nscatter = \"0 %\"\n"
      "population = \"60 thousand/ha\"\n[[require]]\nmetric = \"no_band\"\nat_most = "
      "99\n[search]\n[search.ranges]\n"
      "\"seeding.scatter\" = {uniform = [\"0 %\", \"8 %\"]}\n"
      "\"seeding.population\" = {uniform = [\"60 thousand/ha\", \"100 thousand/ha\"]}\n");
  return sim::search::load_search(file);
}

JudgedPass verdict(bool fails) {
  JudgedPass judged;
  judged.state = fails ? PassState::kViolated : PassState::kHeld;
  judged.margin_ratio = fails ? -0.5 : 0.5;
  return judged;
}

double number_of(const std::string& value) {  // tidy: unit is the value's
  return value.empty() ? 0.0 : std::stod(value);
}

// At 8 % both changes are needed. From 3 to 6 % the scatter fails alone, so once it has moved there
// the population can be left out.
TEST(ShrinkCase, WhatIsNeededNoLongerOnceAChangeIsSmallerIsLeftOut) {
  const ScratchFolder scratch;
  const Search search = two_ranges(scratch);
  const auto judge = [](const Changes& changes) {
    const double percent = number_of(changes.values[0]);  // tidy: unit %
    const bool dense = !changes.values[1].empty();
    return verdict(percent >= 3.0 && (dense || percent <= 6.0));
  };
  const Changes found{.values = {"8 %", "100 thousand/ha"}, .faults = {}};
  ASSERT_TRUE(judge(found).fails());
  const ShrunkCase shrunk = sim::search::shrink_case(search, {found, judge(found)}, judge);
  EXPECT_THAT(shrunk.changes.values[1], IsEmpty());
  EXPECT_TRUE(judge(shrunk.changes).fails());
  // Within 1/64 of the way from 0.
  EXPECT_GE(number_of(shrunk.changes.values[0]), 3.0);
  EXPECT_LE(number_of(shrunk.changes.values[0]), 3.0 + 8.0 / 64.0);
  EXPECT_EQ(shrunk.from_changes, 2);
}

// The loader turns a population into a spacing; the way back still ends at the scenario's own.
TEST(ShrinkCase, APopulationMovesTowardsThatOfTheScenario) {
  const ScratchFolder scratch;
  const Search search = two_ranges(scratch);
  const auto judge = [](const Changes& changes) {
    return verdict(number_of(changes.values[1]) >= 70.0);
  };
  const Changes found{.values = {"", "100 thousand/ha"}, .faults = {}};
  const ShrunkCase shrunk = sim::search::shrink_case(search, {found, judge(found)}, judge);
  EXPECT_GE(number_of(shrunk.changes.values[1]), 70.0);
  EXPECT_LE(number_of(shrunk.changes.values[1]), 70.0 + 40.0 / 64.0);
}

// A pass that fails by another requirement is another case.
TEST(ShrinkCase, EndsAtACaseThatFailsInTheSameWay) {
  const ScratchFolder scratch;
  const Search search = two_ranges(scratch);
  const auto judge = [](const Changes& changes) {
    const double percent = number_of(changes.values[0]);  // tidy: unit %
    JudgedPass judged = verdict(percent >= 1.0);
    judged.requirement = percent >= 5.0 ? "dose_mean at most" : "no_band at most";
    return judged;
  };
  const Changes found{.values = {"8 %", "100 thousand/ha"}, .faults = {}};
  const ShrunkCase shrunk = sim::search::shrink_case(search, {found, judge(found)}, judge);
  EXPECT_EQ(shrunk.judged.requirement, "dose_mean at most");
  EXPECT_GE(number_of(shrunk.changes.values[0]), 5.0);
  EXPECT_LE(number_of(shrunk.changes.values[0]), 5.0 + 8.0 / 64.0);
}

}  // namespace
