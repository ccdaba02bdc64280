// The smallest list that still fails: the example of the algorithm's own paper, and lists whose
// smallest parts are known.
#include "sim/study/search/shrink.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

namespace {

using sim::search::fewest_changes;
using sim::search::Kept;
using sim::search::least_share_ratio;
using testing::ElementsAre;
using testing::IsEmpty;

bool holds_all(const Kept& kept, const Kept& wanted) {
  return std::includes(kept.begin(), kept.end(), wanted.begin(), wanted.end());
}

// Zeller and Hildebrandt (2002): of eight changes, the first, seventh and eighth together fail.
TEST(Shrink, FindsTheThreeOfEightOfThePaper) {
  const Kept found = fewest_changes(8, [](const Kept& kept) { return holds_all(kept, {0, 6, 7}); });
  EXPECT_THAT(found, ElementsAre(0u, 6u, 7u));
}

TEST(Shrink, EveryPairOfTwelveIsFoundWithinTheBoundOfThePaper) {
  for (std::size_t a = 0; a < 12; ++a)
    for (std::size_t b = a + 1; b < 12; ++b) {
      std::size_t asked = 0;
      const Kept found = fewest_changes(12, [&](const Kept& kept) {
        ++asked;
        return holds_all(kept, {a, b});
      });
      EXPECT_THAT(found, ElementsAre(a, b));
      // The paper's bound for the worst case is n^2 + 3 n tests.
      EXPECT_LE(asked, 12u * 12u + 3u * 12u);
    }
}

// Fails without monotony, as where two changes undo each other: what is left fails, and leaving out
// any single change of it does not.
TEST(Shrink, WhatIsLeftFailsAndNoSingleChangeIsSpare) {
  const auto fails = [](const Kept& kept) {
    std::size_t sum = 0;
    for (const std::size_t one : kept) sum += one + 1;
    return !kept.empty() && sum % 7 == 0;
  };
  for (const std::size_t count : {6u, 13u, 20u}) {  // 21, 91 and 210: all fail as a whole
    const Kept found = fewest_changes(count, fails);
    ASSERT_TRUE(fails(found)) << count;
    for (std::size_t k = 0; k < found.size(); ++k) {
      Kept fewer = found;
      fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(k));
      EXPECT_FALSE(fails(fewer)) << count;
    }
  }
}

TEST(Shrink, NothingIsLeftWhereNothingIsNeeded) {
  EXPECT_THAT(fewest_changes(5, [](const Kept&) { return true; }), IsEmpty());
  EXPECT_THAT(fewest_changes(1, [](const Kept& kept) { return !kept.empty(); }), ElementsAre(0u));
}

TEST(Shrink, NoListIsAskedTwice) {
  std::set<Kept> asked;
  fewest_changes(9, [&](const Kept& kept) {
    EXPECT_TRUE(asked.insert(kept).second);
    return holds_all(kept, {1, 4, 8});
  });
}

// Bisection of 0 to 1 at 0.3: six halvings leave 1/64, and the end that fails is given.
TEST(Shrink, TheLeastShareIsTheFailingEndOfTheBisection) {
  const double found_ratio =
      least_share_ratio(6, [](double share_ratio) { return share_ratio >= 0.3; });
  EXPECT_GE(found_ratio, 0.3);
  EXPECT_LE(found_ratio, 0.3 + 1.0 / 64.0);
  EXPECT_EQ(least_share_ratio(6, [](double) { return false; }), 1.0);
}

}  // namespace
