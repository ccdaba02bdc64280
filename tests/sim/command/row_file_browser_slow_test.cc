// The one-file page of a row in a real browser without any network: keyboard, 1280 and 420 px,
// light and dark, axe-core, values out of range, and the same figures from module and program.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/real_browser.h"

namespace {

namespace fs = std::filesystem;

TEST(RowFile, ComputesInABrowserWithoutANetwork) {
  if (!fs::exists(SILLION_BINARY_DIR "/row.wasm.gz")) GTEST_SKIP() << "no module: target wasm";
  if (const std::string lacks = support::browser_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const support::ScratchFolder scratch;
  const fs::path file = scratch.path() / "row.html";
  const support::Ended written = support::run_program(
      {support::sillion_path(), "page", "scenarios/demo.toml", "--standalone", file});
  ASSERT_EQ(written.code, 0) << written.err;
  const support::Ended driven = support::drive_browser("row_file_driver.mjs", file, scratch);
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok nothing is wider than the window at 420 px"));
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok module and program give the same figures"));
}

}  // namespace
