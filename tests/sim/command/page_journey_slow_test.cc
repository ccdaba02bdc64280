// Two ways over the page in a real browser: an engineer brings a new attachment to a delay table by
// the page alone, and an agronomist looks at the field, down to a seed in the report. A search is
// started from the page too. Skips where a tool is missing (tests/support/setup.sh slow).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <fstream>
#include <iostream>
#include <thread>

#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using support::Ended;

const fs::path kAxe =
    fs::path(SILLION_SOURCE_DIR) / "build/browser/node_modules/axe-core/axe.min.js";

/// The demo with two rows and a short tuning, so that a table takes seconds.
void write_small_demo(const fs::path& file) {
  std::ofstream(file) << "base = \"" SILLION_SOURCE_DIR
                         "/scenarios/demo.toml\"\nseeds = 160\nrow.count = 2\n\n[tuning]\nspeeds = "
                         "4\nrates = 2\nseeds = 80\n";
}

TEST(PageJourney, FromANewAttachmentToItsTableAndFromTheFieldToASeed) {
  for (const char* tool : {"chromium", "chromedriver", "node"})
    if (support::run_program({tool, "--version"}).code != 0)
      GTEST_SKIP() << "no " << tool << " on this machine: the page was not tried in a browser";
  if (!fs::exists(kAxe)) GTEST_SKIP() << "no axe-core below build/browser: npm install axe-core";
  support::ScratchFolder scratch;
  const fs::path scenario = scratch.path() / "small.toml", out = scratch.path() / "page";
  write_small_demo(scenario);
  support::Program page({support::sillion_path(), "page", scenario, "--out", out});
  std::string address;
  for (int i = 0; i < 600 && page.running() && address.empty(); ++i) {
    const std::string text = page.out_so_far();
    const std::size_t start = text.find("http://127.0.0.1:");
    if (start != text.npos && text.find('\n', start) != text.npos)
      address = text.substr(start, text.find('\n', start) - start);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  ASSERT_FALSE(address.empty()) << page.err_so_far();
  const char* kept = std::getenv("SILLION_PAGE_PICTURES");
  const fs::path pictures = kept != nullptr ? fs::path(kept) : scratch.path() / "pictures";
  fs::create_directories(pictures);
  const Ended driven = support::run_program(
      {"node", SILLION_SOURCE_DIR "/tests/support/journey_driver.mjs", address, pictures, kAxe});
  std::cout << driven.out;
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
