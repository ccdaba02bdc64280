// Reports in a real browser, opened as files: the pointer and the keys read values off the plots,
// zoom, and choose a seed, whose figures are held against seeds.csv; 1280, 768 and 420 px, light
// and dark, axe-core (a checker of accessible pages by Deque); and all content without scripts.
// Skips where there is no chromium, chromedriver, node or axe-core (tests/support/setup.sh slow).
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <iostream>

#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using support::Ended;

const fs::path kAxe =
    fs::path(SILLION_SOURCE_DIR) / "build/browser/node_modules/axe-core/axe.min.js";

void make(const std::vector<std::string>& words, const fs::path& out, const char* file,
          const fs::path& report) {
  std::vector<std::string> command = {support::sillion_path()};
  command.insert(command.end(), words.begin(), words.end());
  command.insert(command.end(), {"--quiet", "--out", out});
  const Ended made = support::run_program(command);
  ASSERT_TRUE(fs::exists(out / file)) << made.out << made.err;
  fs::copy_file(out / file, report);
}

TEST(ReportBrowser, ReadsZoomsAndChoosesASeedAndIsWholeWithoutScripts) {
  for (const char* tool : {"chromium", "chromedriver", "node"})
    if (support::run_program({tool, "--version"}).code != 0)
      GTEST_SKIP() << "no " << tool << " on this machine: reports were not tried in a browser";
  if (!fs::exists(kAxe)) GTEST_SKIP() << "no axe-core below build/browser: npm install axe-core";
  support::ScratchFolder scratch;
  const fs::path reports = scratch.path() / "reports";
  fs::create_directories(reports);
  make({"run", "scenarios/demo.toml"}, scratch.path() / "demo", "report.html",
       reports / "demo.html");
  fs::copy_file(scratch.path() / "demo/seeds.csv", reports / "seeds.csv");
  make({"rig", "scenarios/demo_rig.toml", "--plot"}, scratch.path() / "rig", "rig.html",
       reports / "rig.html");
  make({"sweep", "tests/golden/small_sweep.toml"}, scratch.path() / "sweep", "report.html",
       reports / "sweep.html");
  // SILLION_PAGE_PICTURES=FOLDER keeps the pictures, for a person to look at.
  const char* kept = std::getenv("SILLION_PAGE_PICTURES");
  const fs::path pictures = kept != nullptr ? fs::path(kept) : scratch.path() / "pictures";
  fs::create_directories(pictures);
  const Ended driven = support::run_program(
      {"node", SILLION_SOURCE_DIR "/tests/support/report_driver.mjs", reports, pictures, kAxe});
  std::cout << driven.out;
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok axe-core finds nothing at 420 px, dark"));
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok demo.html: without scripts all its content"));
}

}  // namespace
