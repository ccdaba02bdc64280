// `sweep` as a user meets it: it goes on past a controller that fails, names the cell, and after a
// kill at any instant ends with the same bytes.
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/support/killed_study.h"
#include "tests/support/result_folder.h"
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
  support::kill_and_resume_sweep("[\"10 s\", \"20 s\"]", {.kills = 6});
}

// What a kill leaves is used: cells that the ledger has stay, and only the others are written.
TEST(SweepCommand, FinishedCellsAreKeptAndAFreshSweepForgetsThem) {
  const support::ScratchFolder scratch;
  const fs::path study = support::write_small_study(scratch.path());
  const fs::path out = scratch.path() / "out";
  ASSERT_EQ(support::run_program(sweep_words(study, out)).code, 0);
  const auto cells = support::kept_below(out);
  ASSERT_EQ(cells.size(), 6u);
  const std::string lost = cells.begin()->first;
  support::change_ledger(out,
                         "UPDATE piece SET rowid = rowid * 1000; "
                         "DELETE FROM piece WHERE inputs = '" +
                             lost + "'");
  ASSERT_EQ(support::run_program(sweep_words(study, out, {"--resume"})).code, 0);
  for (const auto& [cell, row] : support::kept_below(out))
    EXPECT_EQ(row == cells.at(cell) * 1000, cell != lost) << cell;
  EXPECT_EQ(support::kept_below(out).size(), 6u);
  ASSERT_EQ(support::run_program(sweep_words(study, out)).code, 0);
  EXPECT_EQ(support::kept_below(out).size(), 6u);
  for (const auto& [cell, row] : support::kept_below(out)) EXPECT_LT(row, 100) << cell;
}

// The passes of a cell have together the seeds that the cell counts.
TEST(SweepCommand, PassesAreWrittenWholeByTheirIndex) {
  const support::ScratchFolder scratch;
  const fs::path study = support::write_small_study(scratch.path());
  const fs::path out = scratch.path() / "out";
  const Ended ended =
      support::run_program(sweep_words(study, out, {"--keep", "3", "3/1", "worst"}));
  ASSERT_EQ(ended.code, 0) << ended.err;
  const auto summary = nlohmann::json::parse(text_of(out / "summary.json"));
  int placed = 0;
  std::vector<std::string> seeds;
  for (const char* pass : {"0", "1"}) {
    const fs::path folder = out / "runs" / "3" / pass;
    placed += nlohmann::json::parse(text_of(folder / "summary.json"))["seeds"]["placed"].get<int>();
    seeds.push_back(text_of(folder / "seeds.csv"));
  }
  EXPECT_EQ(placed, summary["cells"][3]["seeds"]["placed"]);
  EXPECT_NE(seeds[0], seeds[1]);
  const auto refuses = [&](const std::string& index, const std::string& words) {
    const Ended refused = support::run_program(sweep_words(study, out, {"--keep", index}));
    EXPECT_EQ(refused.code, 2);
    EXPECT_NE(refused.err.find(words), std::string::npos) << refused.err;
  };
  refuses("6", "--keep: \"6\" is beyond the study; its last index is 5/1");
  refuses("0/2", "its last index is 5/1");
  refuses("best", "write CELL, CELL/PASS or worst");
}

TEST(SweepCommand, ALedgerOfAnotherStudyIsRefusedAndNothingOfItIsLost) {
  const support::ScratchFolder scratch;
  const fs::path study = support::write_small_study(scratch.path(), "[\"3 s\"]");
  const fs::path out = scratch.path() / "out";
  ASSERT_EQ(support::run_program(sweep_words(study, out)).code, 0);
  const auto before = support::files_below(out);
  const std::string file = (out / "ledger.sqlite").string();
  const auto refuses = [&](const std::vector<std::string>& more, const std::string& words) {
    const Ended ended = support::run_program(sweep_words(study, out, more));
    EXPECT_EQ(ended.code, 2) << ended.err;
    EXPECT_NE(ended.err.find(file + ": " + words), std::string::npos) << ended.err;
  };
  refuses({"--resume", "--set", "replicas=1"}, "holds work of another study");
  refuses({"--resume", "--controller", faulty("silent")}, "holds work of another controller");
  EXPECT_TRUE(support::files_below(out) == before);
  support::change_ledger(out, "UPDATE owner SET hash = 'b0' WHERE name = 'program'");
  refuses({"--resume"}, "holds work of another program: its hash is b0");
  support::change_ledger(out, "PRAGMA user_version = 0");
  refuses({"--resume"}, "has schema version 0, this program reads 1");
  std::ofstream(file, std::ios::trunc) << "notes of somebody, long enough to be read as a head";
  refuses({"--resume"}, "is not a ledger of sillion");
  refuses({}, "is not a ledger of sillion");
  EXPECT_EQ(support::text_of(file).find("notes"), 0u);
  EXPECT_EQ(support::results_below(out).size(), 3u);
}

}  // namespace
