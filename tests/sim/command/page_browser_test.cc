// The page in a real browser: keyboard, 1280, 768 and 420 px, light and dark, axe-core, mistakes,
// saving, long work.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/real_browser.h"

namespace {

namespace fs = std::filesystem;

TEST(PageBrowser, WorksByKeyboardNarrowDarkAndWithoutAFinding) {
  if (const std::string lacks = support::browser_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const support::ScratchFolder scratch;
  const fs::path out = scratch.path() / "page";
  support::Program page({support::sillion_path(), "page", "scenarios/demo.toml", "--out", out});
  const std::string address = support::address_of(page);
  ASSERT_FALSE(address.empty()) << page.err_so_far();
  const support::Ended driven = support::drive_browser("page_driver.mjs", address, scratch);
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok nothing is wider than the window at 420 px"));
  EXPECT_TRUE(fs::exists(out / "from_browser.toml"));
  page.send(SIGINT);
  ASSERT_TRUE(page.ends_within(std::chrono::seconds(3)));
  EXPECT_EQ(page.wait().code, 130);
}

}  // namespace
