#include "sim/output/spilled_text.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <utility>

#include "sim/output/write_folder.h"
#include "tests/support/run_program.h"

namespace {

using sim::output::SpilledText;

TEST(SpilledText, IsReadAsItWasWrittenAndLeavesNoFile) {
  const support::ScratchFolder folder;
  SpilledText text(folder.path() / "not" / "made");
  std::string expected;
  for (int k = 0; k < 20'000; ++k) {
    text.append(std::to_string(k) + "\n");
    expected += std::to_string(k) + "\n";
  }
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
  SpilledText moved = std::move(text);
  for (int twice = 0; twice < 2; ++twice) {
    std::string read;
    moved.read([&](std::string_view piece) { read += piece; });
    EXPECT_EQ(read, expected);
  }
  const sim::output::ResultFile file{"table.csv", "number\n", {&moved, &moved}};
  sim::output::write_folder({&file, 1}, folder.path() / "out");
  EXPECT_EQ(support::text_of(folder.path() / "out" / "table.csv"),
            "number\n" + expected + expected);
}

TEST(SpilledText, AFolderThatCannotBeWrittenIsNamed) {
  EXPECT_THROW(SpilledText("/proc/self"), sim::output::OutputError);
}

}  // namespace
