// What is wrong with inputs and outputs is reported before the work, and nothing is left behind.
#include "sim/command/judged_first.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>
#include <string>

#include "sim/study/run/tables.h"
#include "tests/support/run_program.h"

namespace {

using support::Ended;
using support::ScratchFolder;
using support::sillion;
using ::testing::HasSubstr;
using ::testing::Not;

void put(const support::ScratchFolder& folder, const char* name, const std::string& text) {
  std::ofstream(folder.path() / name) << text;
}

std::string refusal(const std::filesystem::path& file) {
  try {
    sim::command::require_writable(file);
  } catch (const sim::output::OutputError& error) {
    return error.what();
  }
  return "";
}

TEST(JudgedFirst, AFileThatCanBeWrittenLeavesNoTrace) {
  const ScratchFolder folder;
  EXPECT_EQ(refusal(folder.path() / "new" / "below" / "seed.vcd"), "");
  EXPECT_EQ(refusal({}), "");
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(JudgedFirst, AFileThatCannotBeWrittenIsNamedWithItsReason) {
  const ScratchFolder folder;
  put(folder, "plain", "x");
  std::filesystem::create_directory(folder.path() / "taken.vcd");
  EXPECT_THAT(refusal(folder.path() / "taken.vcd"), HasSubstr("a folder of that name"));
  EXPECT_THAT(refusal(folder.path() / "plain" / "a.vcd"), HasSubstr("is no folder"));
  EXPECT_THAT(refusal(folder.path() / std::string(252, 'a')), HasSubstr("too long"));
  EXPECT_THAT(refusal("/proc/nowhere/a.vcd"), HasSubstr("/proc"));
}

/// A small mistake on the command line that must not cost any passes: each is refused before the
/// first.
struct Slip {
  const char* name;
  std::vector<std::string> words;
  const char* told;
};

TEST(JudgedFirst, ASlipIsToldBeforeAnythingRuns) {
  const ScratchFolder folder;
  put(folder, "no_library.so", "this is text");
  put(folder, "plain", "x");
  const std::string here = folder.path().string();
  std::filesystem::create_directories(folder.path() / "out" / "cells.csv");
  const std::vector<Slip> slips = {
      {"compare",
       {"compare", "scenarios/pull_request_row.toml", "--controller", here + "/no_library.so"},
       "this file is not one"},
      {"against",
       {"compare", "scenarios/pull_request_row.toml", "--against", here + "/no_library.so"},
       "this file is not one"},
      {"sweep",
       {"sweep", "scenarios/demo_sweep.toml", "--controller", here + "/no_library.so", "--out",
        here + "/none"},
       "this file is not one"},
      {"budget",
       {"budget", "scenarios/demo.toml", "--controller", here + "/no_library.so"},
       "this file is not one"},
      {"check",
       {"check", "scenarios/pull_request.toml", "--controller", here + "/no_library.so", "--out",
        here + "/none"},
       "this file is not one"},
      {"occupied", {"sweep", "scenarios/demo_sweep.toml", "--out", here + "/out"}, "cells.csv"},
      {"file in the way",
       {"sweep", "scenarios/demo_sweep.toml", "--out", here + "/plain"},
       "in the way"},
      {"overlong",
       {"sweep", "scenarios/demo_sweep.toml", "--out", here + "/" + std::string(248, 'a')},
       "too long"},
      {"wave",
       {"run", "scenarios/demo.toml", "--out", here + "/none", "--wave", here + "/plain/x.vcd"},
       "is no folder"},
  };
  for (const Slip& slip : slips) {
    SCOPED_TRACE(slip.name);
    const Ended ended = sillion(slip.words);
    EXPECT_EQ(ended.code, 2);
    EXPECT_THAT(ended.err, HasSubstr(slip.told));
    EXPECT_THAT(ended.err, Not(HasSubstr("% done")));  // no pass was under way
    EXPECT_FALSE(std::filesystem::exists(folder.path() / "none"));
  }
}

}  // namespace
