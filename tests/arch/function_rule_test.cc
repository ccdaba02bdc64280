// Texts that the rule on long functions must catch, each with a similar one that it must pass.
#include "tests/arch/function_rule.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

/// `head {`, `lines` - 1 lines of `x();`, and the closing brace.
std::string function_of(const std::string& head, int lines) {
  std::string text = head + " {\n";
  for (int line = 1; line < lines; ++line) text += "  x();\n";
  return text + "}\n";
}

auto findings(const std::string& text) { return arch::function_findings({"sim/x.cc", text}); }

}  // namespace

TEST(FunctionSizeRule, CatchesAFunctionOf61Lines) {
  const auto found = findings("\n" + function_of("int f(int a)", 61));
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_EQ(found[0].line, 2);
  EXPECT_THAT(findings(function_of("int f(int a)", 60)), IsEmpty());
}

TEST(FunctionSizeRule, SeesEveryKindOfFunction) {
  for (const char* head :
       {"template <class T>\nvoid f(T a)", "X::X(int a) : a_{a}, b_(a)", "X::X(int a) : a_{a}",
        "bool X::f() const noexcept", "auto f() -> int", "TEST(Rule, Catches)",
        "const auto f = [](int a)", "struct X f(int a)", "X operator+(X a, X b)"})
    EXPECT_THAT(findings(function_of(head, 61)), SizeIs(1)) << head;
  EXPECT_THAT(findings("namespace a {\nclass X {\n  int a_ = 0;\n" + function_of("  int f()", 61) +
                       "};\n}\n"),
              SizeIs(1));
}

TEST(FunctionSizeRule, LetsListsAndTypesBeLong) {
  for (const char* head : {"namespace a", "struct X", "class X : public Y", "enum class X : int",
                           "constexpr int kMany[] =", "constexpr std::array kMany",
                           "template <class T>\nstruct X", "extern \"C\""})
    EXPECT_THAT(findings(function_of(head, 100)), IsEmpty()) << head;
}

TEST(FunctionSizeRule, CountsTheOutermostOnceAndNoBraceOfACommentOrMacro) {
  EXPECT_THAT(findings("void f() {\n" + function_of("  const auto g = [&]()", 61) + "}\n"),
              SizeIs(1));
  std::string text = "#define OPEN \\\n  void f() {\n// {\nvoid g() {\n  h(\"{\");\n}\n";
  for (int line = 0; line < 70; ++line) text += "int a;\n";
  EXPECT_THAT(findings(text + "}\n"), IsEmpty());
}
