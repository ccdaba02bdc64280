// The page in a real browser: keyboard, 1280, 768 and 420 px, light and dark, axe-core (a checker
// of accessible pages by Deque, npm package axe-core), mistakes, saving, long work. Skips where
// there is no chromium, chromedriver, node or axe-core (tests/support/setup.sh slow installs them).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <iostream>
#include <thread>

#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using support::Ended;

const fs::path kAxe =
    fs::path(SILLION_SOURCE_DIR) / "build/browser/node_modules/axe-core/axe.min.js";

/// The first address that the program prints.
std::string address_of(support::Program& page) {
  for (int i = 0; i < 600 && page.running(); ++i) {
    const std::string out = page.out_so_far();
    const std::size_t start = out.find("http://127.0.0.1:");
    if (start != out.npos && out.find('\n', start) != out.npos)
      return out.substr(start, out.find('\n', start) - start);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  return {};
}

TEST(PageBrowser, WorksByKeyboardNarrowDarkAndWithoutAFinding) {
  for (const char* tool : {"chromium", "chromedriver", "node"})
    if (support::run_program({tool, "--version"}).code != 0)
      GTEST_SKIP() << "no " << tool << " on this machine: the page was not tried in a browser";
  if (!fs::exists(kAxe)) GTEST_SKIP() << "no axe-core below build/browser: npm install axe-core";
  support::ScratchFolder scratch;
  const fs::path out = scratch.path() / "page";
  support::Program page({support::sillion_path(), "page", "scenarios/demo.toml", "--out", out});
  const std::string address = address_of(page);
  ASSERT_FALSE(address.empty()) << page.err_so_far();
  // SILLION_PAGE_PICTURES=FOLDER keeps the pictures, for a person to look at.
  const char* kept = std::getenv("SILLION_PAGE_PICTURES");
  const fs::path pictures = kept != nullptr ? fs::path(kept) : scratch.path() / "pictures";
  fs::create_directories(pictures);
  const Ended driven = support::run_program(
      {"node", SILLION_SOURCE_DIR "/tests/support/page_driver.mjs", address, pictures, kAxe});
  std::cout << driven.out;
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok axe-core finds nothing at 420 px, dark"));
  EXPECT_TRUE(fs::exists(out / "from_browser.toml"));
  page.send(SIGINT);
  ASSERT_TRUE(page.ends_within(std::chrono::seconds(3)));
  EXPECT_EQ(page.wait().code, 130);
}

}  // namespace
