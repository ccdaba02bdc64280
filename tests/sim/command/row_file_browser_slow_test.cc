// The one-file page of a row in a real browser without any network: keyboard, 1280 and 420 px,
// light and dark, axe-core (a checker of accessible pages by Deque, npm package axe-core), values
// out of range, and the same figures from module and program. Skips where there is no module,
// chromium, chromedriver, node or axe-core.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <iostream>

#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;

const fs::path kAxe =
    fs::path(SILLION_SOURCE_DIR) / "build/browser/node_modules/axe-core/axe.min.js";

std::string what_lacks() {
  if (!fs::exists(SILLION_BINARY_DIR "/row.wasm.gz")) return "no module: target wasm";
  for (const char* tool : {"chromium", "chromedriver", "node"})
    if (support::run_program({tool, "--version"}).code != 0) return std::string("no ") + tool;
  return fs::exists(kAxe) ? "" : "no axe-core below build/browser: npm install axe-core";
}

TEST(RowFile, ComputesInABrowserWithoutANetwork) {
  if (const std::string lacks = what_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const support::ScratchFolder scratch;
  const fs::path file = scratch.path() / "row.html";
  const support::Ended written = support::run_program(
      {support::sillion_path(), "page", "scenarios/demo.toml", "--standalone", file});
  ASSERT_EQ(written.code, 0) << written.err;
  // SILLION_PAGE_PICTURES=FOLDER keeps the pictures, for a person to look at.
  const char* kept = std::getenv("SILLION_PAGE_PICTURES");
  const fs::path pictures = kept != nullptr ? fs::path(kept) : scratch.path() / "pictures";
  fs::create_directories(pictures);
  const support::Ended driven = support::run_program(
      {"node", SILLION_SOURCE_DIR "/tests/support/row_file_driver.mjs", file, pictures, kAxe});
  std::cout << driven.out;
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok axe-core finds nothing at 420 px, dark"));
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok module and program give the same figures"));
}

}  // namespace
