// Two ways over the page in a real browser: an engineer brings a new attachment to a delay table by
// the page alone, and an agronomist looks at the field, down to a seed in the report. A search is
// started from the page too.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "tests/support/real_browser.h"

namespace {

namespace fs = std::filesystem;
using support::Ended;

/// The demo with two rows and a short tuning, so that a table takes seconds.
void write_small_demo(const fs::path& file) {
  std::ofstream(file) << "base = \"" SILLION_SOURCE_DIR
                         "/scenarios/demo.toml\"\nseeds = 160\nrow.count = 2\n\n[tuning]\nspeeds = "
                         "4\nrates = 2\nseeds = 80\n";
}

TEST(PageJourney, FromANewAttachmentToItsTableAndFromTheFieldToASeed) {
  if (const std::string lacks = support::browser_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const support::ScratchFolder scratch;
  const fs::path scenario = scratch.path() / "small.toml", out = scratch.path() / "page";
  write_small_demo(scenario);
  support::Program page({support::sillion_path(), "page", scenario, "--out", out});
  const std::string address = support::address_of(page);
  ASSERT_FALSE(address.empty()) << page.err_so_far();
  const Ended driven = support::drive_browser("journey_driver.mjs", address, scratch);
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok with its own table the error shrinks"));
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok the search ran to its end"));
  page.send(SIGINT);
  ASSERT_TRUE(page.ends_within(std::chrono::seconds(3)));
  // What was saved runs by itself, also where the jobs' folder is gone.
  fs::remove_all(out / "jobs");
  ASSERT_TRUE(fs::exists(out / "new_attachment.delay.toml"));
  const Ended ran = support::sillion(
      {"run", out / "new_attachment.toml", "--quiet", "--out", scratch.path() / "run"});
  EXPECT_THAT(ran.code, ::testing::AnyOf(0, 1)) << ran.err;
}

}  // namespace
