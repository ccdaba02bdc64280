// Every figure that the manual quotes is what the command above it prints: each page's console
// blocks are run in their order, in a folder that looks like the tree.
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/support/manual_pages.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;

/// Links to everything that the commands read; what they write goes away with the test.
void look_like_the_tree(const fs::path& folder) {
  for (const char* part : {"scenarios", "shared", "tests"})
    fs::create_directory_symlink(fs::path(SILLION_SOURCE_DIR) / part, folder / part);
  fs::create_directories(folder / "build");
  fs::create_directories(folder / "out");
  fs::create_directory_symlink(SILLION_BINARY_DIR, folder / "build" / "release");
  fs::create_directory_symlink(SILLION_BINARY_DIR, folder / "build" / "demo");
}

std::vector<std::string> pages_with_figures() {
  std::vector<std::string> pages;
  for (const std::string& page : support::manual_pages())
    for (const support::FencedBlock& block :
         support::fenced_blocks(page, support::text_of_page(page)))
      if (block.language == "console" && (pages.empty() || pages.back() != page))
        pages.push_back(page);
  return pages;
}

class ManualFigures : public ::testing::TestWithParam<std::string> {};

TEST_P(ManualFigures, AreWhatTheCommandPrints) {
  const support::ScratchFolder scratch;
  look_like_the_tree(scratch.path());
  for (const support::FencedBlock& block :
       support::fenced_blocks(GetParam(), support::text_of_page(GetParam()))) {
    if (block.language != "console") continue;
    for (const support::Example& one : support::examples_of(block)) {
      const support::Ended ended =
          support::Program({"bash", "-c", one.command}, {}, scratch.path()).wait();
      EXPECT_LE(ended.code, 1) << one.place << ": " << one.command << "\n" << ended.err;
      if (one.printed.empty()) continue;
      EXPECT_EQ(support::first_disagreement(one.printed, ended.out), "")
          << one.place << ": " << one.command << " prints\n"
          << ended.out;
    }
  }
}

std::string name_of(const ::testing::TestParamInfo<std::string>& page) {
  return fs::path(page.param).stem().string();
}

INSTANTIATE_TEST_SUITE_P(Pages, ManualFigures, ::testing::ValuesIn(pages_with_figures()), name_of);

}  // namespace
