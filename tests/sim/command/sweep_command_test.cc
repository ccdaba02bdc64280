// `sweep` as a user meets it: it goes on past a controller that fails, names the cell, and after a
// kill at any instant ends with the same bytes.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/support/killed_sweep.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace {

using support::Ended;
using support::text_of;
namespace fs = std::filesystem;

constexpr const char* kFiles[] = {"summary.json", "cells.csv", "report.html"};

std::string faulty(const std::string& name) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + name + ".so";
}

std::vector<std::string> sweep_words(const fs::path& study, const fs::path& out,
                                     const std::vector<std::string>& more = {}) {
  std::vector<std::string> words = {
      support::sillion_path(), "sweep", study.string(), "--quiet", "--out", out.string()};
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

TEST(SweepCommand, GoesOnPastAControllerThatFailsAndNamesItsCells) {
#if defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "see tests/sim/bench/guarded_call_test.cc";
#endif
  const support::ScratchFolder scratch;
  const fs::path study = support::write_small_study(scratch.path());
  const fs::path out = scratch.path() / "out";
  const Ended ended =
      support::run_program(sweep_words(study, out, {"--controller", faulty("silent")}));
  EXPECT_EQ(ended.code, 4) << ended.err;
  for (const char* speed : {"8 km/h", "12 km/h", "16 km/h"}) {
    const std::string cell = std::string("cell ") + speed + ", 12 s: controller: pass 0: ";
    EXPECT_NE(ended.err.find(cell), std::string::npos) << ended.err;
  }
  EXPECT_NE(ended.out.find("3 failed"), std::string::npos) << ended.out;
  EXPECT_NE(ended.out.find("  failed: pass 0: "), std::string::npos) << ended.out;
  const auto summary = nlohmann::json::parse(text_of(out / "summary.json"));
  EXPECT_EQ(summary["counts"]["failed"], 3);
  EXPECT_EQ(summary["counts"]["served"], 3);
  EXPECT_EQ(summary["counts"]["not_servable"], 0);
  const std::vector<std::string> lines = lines_of(text_of(out / "cells.csv"));
  ASSERT_EQ(lines.size(), 7u);
  for (std::size_t k = 0; k < 6; ++k) {
    const auto& cell = summary["cells"][k];
    EXPECT_EQ(cell["status"], k % 2 == 0 ? "served" : "failed") << k;
    if (k % 2 == 0) continue;
    EXPECT_EQ(cell["fault_of"], "controller");
    EXPECT_TRUE(cell["fault"].get<std::string>().starts_with("pass 0: ")) << cell;
    EXPECT_NE(lines[k + 1].find("failed: pass 0: "), std::string::npos) << lines[k + 1];
    // as many columns as the head has, the words in quotes
    std::string bare = lines[k + 1];
    const std::size_t from = bare.find('"');
    if (from != std::string::npos) bare.erase(from, bare.find('"', from + 1) + 1 - from);
    EXPECT_EQ(std::count(bare.begin(), bare.end(), ','),
              std::count(lines[0].begin(), lines[0].end(), ','));
  }
  const std::string page = text_of(out / "report.html");
  EXPECT_NE(page.find("3 cells</span> failed: the controller"), std::string::npos);
  EXPECT_NE(page.find("pass 0: "), std::string::npos);
  // The cells that do not fail equal those of a sweep without the failing ones.
  const fs::path half = support::write_small_study(scratch.path() / "half", "[\"3 s\"]");
  ASSERT_EQ(support::run_program(
                sweep_words(half, scratch.path() / "few", {"--controller", faulty("silent")}))
                .code,
            0);
  const std::vector<std::string> few = lines_of(text_of(scratch.path() / "few" / "cells.csv"));
  ASSERT_EQ(few.size(), 4u);
  for (std::size_t k = 0; k < 3; ++k) EXPECT_EQ(few[k + 1], lines[2 * k + 1]);
  // With --resume, failed cells are not run again and report the same.
  const Ended again = support::run_program(
      sweep_words(study, scratch.path() / "out", {"--controller", faulty("silent"), "--resume"}));
  EXPECT_EQ(again.code, 4);
  EXPECT_EQ(again.out, ended.out);
}

TEST(SweepCommand, WhereEveryCellFailsItIsFourAndNotNothing) {
  const support::ScratchFolder scratch;
  const fs::path study = support::write_small_study(scratch.path(), "[\"3 s\", \"4 s\"]");
  const Ended ended = support::run_program(
      sweep_words(study, scratch.path() / "out", {"--controller", faulty("no_number")}));
  EXPECT_EQ(ended.code, 4) << ended.err;
  const auto summary = nlohmann::json::parse(text_of(scratch.path() / "out" / "summary.json"));
  EXPECT_EQ(summary["counts"]["failed"], 6);
  EXPECT_NE(text_of(scratch.path() / "out" / "report.html").find("so no pass can be shown"),
            std::string::npos);
}

TEST(SweepCommand, KilledAtAnyInstantItGoesOnToTheSameBytes) {
  support::kill_and_resume_sweep("[\"10 s\", \"20 s\"]", 6);
}

// What a kill leaves is used: cells that have a file keep it, and only the others are written.
TEST(SweepCommand, FinishedCellsAreKeptAndAFreshSweepForgetsThem) {
  const support::ScratchFolder scratch;
  const fs::path study = support::write_small_study(scratch.path());
  const fs::path out = scratch.path() / "out";
  ASSERT_EQ(support::run_program(sweep_words(study, out)).code, 0);
  std::vector<fs::path> cells;
  for (const auto& entry : fs::directory_iterator(out / "cells")) cells.push_back(entry.path());
  ASSERT_EQ(cells.size(), 6u);
  const auto long_ago = fs::last_write_time(cells[0]) - std::chrono::hours(1);
  for (const fs::path& cell : cells) fs::last_write_time(cell, long_ago);
  fs::remove(cells[2]);
  ASSERT_EQ(support::run_program(sweep_words(study, out, {"--resume"})).code, 0);
  for (std::size_t k = 0; k < cells.size(); ++k)
    EXPECT_EQ(fs::last_write_time(cells[k]) == long_ago, k != 2) << k;
  ASSERT_EQ(support::run_program(sweep_words(study, out)).code, 0);
  for (const fs::path& cell : cells) EXPECT_NE(fs::last_write_time(cell), long_ago);
}

}  // namespace
