// The examples of scenarios/manual/python.md, run by Python and pandas: each prints what stands
// below it. Skipped where pandas is not installed.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "tests/support/manual_pages.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;

constexpr const char* kPage = "scenarios/manual/python.md";

/// The interpreter that has pandas; empty where none has.
std::string python_with_pandas() {
  for (const char* python : {"python3", "/usr/bin/python3"})
    if (support::Program({"bash", "-c", std::string(python) + " -c 'import pandas'"}).wait().code ==
        0)
      return python;
  return {};
}

TEST(ManualPython, PrintsWhatStandsBelowEachExample) {
  const std::string python = python_with_pandas();
  if (python.empty()) GTEST_SKIP() << "no Python with pandas is installed (python3-pandas)";
  const support::ScratchFolder scratch;
  fs::create_directory_symlink(fs::path(SILLION_SOURCE_DIR) / "scenarios",
                               scratch.path() / "scenarios");
  fs::create_directories(scratch.path() / "build");
  fs::create_directory_symlink(SILLION_BINARY_DIR, scratch.path() / "build" / "release");
  std::string printed;
  int compared = 0;
  for (const support::FencedBlock& block :
       support::fenced_blocks(kPage, support::text_of_page(kPage))) {
    std::string command;
    if (block.language == "console") {
      for (const support::Example& one : support::examples_of(block))
        EXPECT_EQ(support::Program({"bash", "-c", one.command}, {}, scratch.path()).wait().code, 0)
            << one.command;
    } else if (block.language == "python") {
      std::ofstream script(scratch.path() / "example.py");
      for (const std::string& line : block.lines) script << line << "\n";
      script.close();
      const support::Ended ended =
          support::Program({"bash", "-c", python + " example.py"}, {}, scratch.path()).wait();
      EXPECT_EQ(ended.code, 0) << kPage << ":" << block.line << "\n" << ended.err;
      printed = ended.out;
    } else if (block.language == "text") {
      EXPECT_EQ(support::first_disagreement(block.lines, printed), "")
          << kPage << ":" << block.line << " prints\n"
          << printed;
      ++compared;
    }
  }
  EXPECT_EQ(compared, 4);
}

}  // namespace
