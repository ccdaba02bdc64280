// What the tools of the second compiler say of the tree: layout (.clang-format) and lint
// (.clang-tidy).
//
// The lint reads the compile commands of the build under test, so it sees what was built.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "tests/arch/tree.h"
#include "tests/support/run_program.h"

namespace {

std::string tail_of(const std::string& text) {
  constexpr std::size_t kMost = 6000;
  return text.substr(text.size() > kMost ? text.size() - kMost : 0);
}

/// Lints every source of the folder with two processes.
void expect_clean(const std::string& folder) {
  const std::string sources = std::string(SILLION_SOURCE_DIR) + "/" + folder + "/.*\\.cc$";
  const support::Ended ended =
      support::run_program({"run-clang-tidy-19", "-p", SILLION_BINARY_DIR, "-quiet", "-j", "2",
                            "-extra-arg=-Wno-unknown-warning-option",
                            // libstdc++ 12 itself: std::stable_sort
                            "-extra-arg=-Wno-deprecated-declarations", sources});
  EXPECT_EQ(ended.code, 0) << folder << "\n" << tail_of(ended.out);
}

}  // namespace

TEST(LintSlow, LayoutIsTheToolsLayout) {
  std::vector<std::string> command = {"clang-format-19", "--dry-run", "-Werror"};
  for (const arch::SourceFile& file : arch::read_tree(SILLION_SOURCE_DIR)) {
    if (arch::is_code(file.path)) command.push_back(file.path);
  }
  ASSERT_GT(command.size(), 50u);
  const support::Ended ended = support::run_program(command);
  EXPECT_EQ(ended.code, 0) << "target format mends it\n" << tail_of(ended.err);
}

TEST(LintSlow, Model) { expect_clean("model"); }

TEST(LintSlow, Controller) { expect_clean("controller"); }

TEST(LintSlow, Sim) { expect_clean("sim"); }
