// Tests that the rules on tests must catch, each with a similar one that they must pass.
#include "tests/arch/test_rules.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

const std::set<std::string> kExpecting = {"holds"};

auto findings(const std::string& text) {
  return arch::test_findings({"tests/sim/x_test.cc", text}, kExpecting);
}

}  // namespace

TEST(TestRule, CatchesATestThatCannotFail) {
  EXPECT_THAT(findings("TEST(X, Prints) {\n  print(x);  // EXPECT_EQ(x, 1)\n}\n"), SizeIs(1));
  EXPECT_THAT(findings("TEST_F(X, Says) { say(\"EXPECT_EQ\"); }\n"), SizeIs(1));
}

TEST(TestRule, CatchesATestThatDoesNotRun) {
  EXPECT_THAT(findings("TEST(X, DISABLED"
                       "_Table) { EXPECT_EQ(x, 1); }\n"),
              SizeIs(1));
}

TEST(TestRule, LetsTestsAndHelpersPass) {
  EXPECT_THAT(findings("TEST(X, Is) { EXPECT_EQ(x, 1); }\nTEST(X, Holds) { holds(x); }\n"
                       "TEST_P(X, Fits) { for (int k : all) holds<int>(k); }\n"
                       "void print() { say(1); }\n"),
              IsEmpty());
}

TEST(TestRule, FollowsHelpersThatExpect) {
  const std::vector<arch::SourceFile> tree = {
      {"tests/support/a.h", "inline void deep(int x) { ASSERT_EQ(x, 1); }\n"},
      {"tests/sim/b_test.cc",
       "template <class T>\nvoid outer(T x) { deep(x); }\nvoid other() { say(2); }\n"},
      {"sim/c.cc", "void product() { EXPECT_EQ(1, 1); }\n"}};
  EXPECT_EQ(arch::expecting_functions(tree), (std::set<std::string>{"deep", "outer"}));
}
