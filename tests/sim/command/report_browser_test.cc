// Reports in a real browser, opened as files: the pointer and the keys read values off the plots,
// zoom, and choose a seed, whose figures are held against seeds.csv; 1280, 768 and 420 px, light
// and dark, axe-core; and all content without scripts.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/real_browser.h"

namespace {

namespace fs = std::filesystem;
using support::Ended;

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
  if (const std::string lacks = support::browser_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const support::ScratchFolder scratch;
  const fs::path reports = scratch.path() / "reports";
  fs::create_directories(reports);
  make({"run", "scenarios/demo.toml"}, scratch.path() / "demo", "report.html",
       reports / "demo.html");
  fs::copy_file(scratch.path() / "demo/seeds.csv", reports / "seeds.csv");
  make({"rig", "scenarios/demo_rig.toml", "--plot"}, scratch.path() / "rig", "rig.html",
       reports / "rig.html");
  make({"sweep", "tests/golden/small_sweep.toml"}, scratch.path() / "sweep", "report.html",
       reports / "sweep.html");
  const Ended driven = support::drive_browser("report_driver.mjs", reports, scratch);
  EXPECT_EQ(driven.code, 0) << driven.out << driven.err;
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok nothing is wider than the window at 420 px"));
  EXPECT_THAT(driven.out, ::testing::HasSubstr("ok demo.html: without scripts all its content"));
}

}  // namespace
