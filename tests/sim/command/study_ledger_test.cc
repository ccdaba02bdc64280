// What a user meets of the ledger of `sweep`, `delay` and `outlet`: a killed study goes on, a full
// disk and a read-only one lose nothing, and a ledger of another study is refused.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "tests/support/killed_study.h"
#include "tests/support/result_folder.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace {

using support::Ended;
using ::testing::HasSubstr;
namespace fs = std::filesystem;

TEST(StudyLedger, ADelayStudyGoesOnAfterAKill) { support::kill_and_resume_delay({.kills = 4}); }

TEST(StudyLedger, EveryStudySaysHowToGoOnAndRefusesALedgerOfAnother) {
  const support::ScratchFolder scratch;
  const std::string out = (scratch.path() / "out").string();
  const std::string small = support::write_small_study(scratch.path(), "[\"3 s\"]").string();
  const std::vector<std::vector<std::string>> studies = {
      {"sweep", small},
      {"delay", "short rake", "--scenario", "scenarios/demo.toml", "--set", "row.physics=ideal",
       "--set", "tuning.speeds=4", "--set", "tuning.seeds=80", "--set", "tuning.rates=2", "--set",
       "row.count=4", "--set", "delivery.rest_scatter=12 mm"},
      {"outlet", "short rake", "--scenario", "scenarios/demo.toml", "--bores", "1.4 mm",
       "--tube-bores", "8 mm", "--tube-lengths", "300 mm", "--hose-bores", "8 mm", "--walls",
       "as stated"}};
  for (const std::vector<std::string>& study : studies) {
    std::vector<std::string> words = study;
    words.insert(words.end(), {"--out", out});
    fs::remove_all(out);
    const Ended first = support::sillion(words);
    ASSERT_LE(first.code, 1) << first.err;
    EXPECT_THAT(first.err, HasSubstr("sillion: if this is killed, go on with: "));
    EXPECT_THAT(first.err, HasSubstr("--out " + out + " --resume\n"));
    const auto results = support::results_below(out);
    words.push_back("--resume");
    const Ended again = support::sillion(words);
    EXPECT_EQ(again.code, first.code) << again.err;
    EXPECT_EQ(again.out, first.out);
    EXPECT_TRUE(support::results_below(out) == results) << study[0];
    words.insert(words.end(),
                 {"--set", study[0] == "sweep" ? "rng_key=77" : "row.width=\"70 cm\""});
    const Ended other = support::sillion(words);
    EXPECT_EQ(other.code, 2) << other.err;
    EXPECT_THAT(other.err, HasSubstr(out + "/ledger.sqlite: holds work of another study"));
    EXPECT_TRUE(support::results_below(out) == results) << study[0];
  }
}

/// Runs `words` of the shell on a tmpfs of this size, mounted at `at` for them alone.
Ended on_small_disk(const fs::path& at, const std::string& size, const std::string& words) {
  return support::run_program(
      {"unshare", "-m", "sh", "-c",
       "mount -t tmpfs -o size=" + size + " none '" + at.string() + "' || exit 99; " + words});
}

// The passes of three cells take some 2 MB: the disk is full as they are kept. With room made, the
// study goes on from what was kept, and from nothing else.
TEST(StudyLedger, AFullDiskLosesNothingThatWasFinished) {
  const support::ScratchFolder scratch, disk;
  const std::string study = support::write_small_study(scratch.path(), "[\"60 s\"]").string();
  const fs::path whole = scratch.path() / "whole";
  ASSERT_EQ(support::sillion({"sweep", study, "--quiet", "--out", whole.string()}).code, 0);
  const std::string at = disk.path().string(), saved = (scratch.path() / "saved").string();
  const std::string sweep =
      "'" + support::sillion_path() + "' sweep " + study + " --quiet --resume --out " + at + "/out";
  const Ended ended = on_small_disk(
      disk.path(), "700k",
      sweep + "; echo first $?; ls " + at + "/out; mount -o remount,size=64m '" + at + "'; cp -r " +
          at + "/out " + saved + "; " + sweep + "; echo second $?; cp " + at + "/out/*.* " + saved);
  if (ended.code == 99) GTEST_SKIP() << "no tmpfs may be mounted here";
  EXPECT_THAT(ended.out, HasSubstr("first 2\nledger.sqlite\n"));
  EXPECT_THAT(ended.err, HasSubstr("ledger.sqlite: cannot write: No space left on device; what was "
                                   "finished before is kept, and --resume goes on from there"));
  EXPECT_THAT(ended.out, HasSubstr("second 0\n"));
  support::expect_same_results(saved, whole);
}

TEST(StudyLedger, AReadOnlyFolderIsRefusedBeforeAnyWork) {
  const support::ScratchFolder scratch, disk;
  const std::string study = support::write_small_study(scratch.path(), "[\"3 s\"]").string();
  const std::string at = disk.path().string();
  const std::string sweep =
      "'" + support::sillion_path() + "' sweep " + study + " --quiet --resume --out " + at + "/out";
  const Ended ended = on_small_disk(disk.path(), "8m",
                                    sweep + "; echo first $?; mount -o remount,ro '" + at + "'; " +
                                        sweep + "; echo second $?; ls " + at + "/out");
  if (ended.code == 99) GTEST_SKIP() << "no tmpfs may be mounted here";
  EXPECT_THAT(ended.out, HasSubstr("first 0\n"));
  EXPECT_THAT(ended.out,
              HasSubstr("second 2\ncells.csv\nledger.sqlite\nreport.html\nsummary.json\n"));
  EXPECT_THAT(ended.err, HasSubstr(at + "/out: cannot write: Read-only file system"));
}

// The folder's lock is beside the folder; the ledger's own also holds where the folder has another
// name, as through another mount.
TEST(StudyLedger, ASecondProcessIsRefusedWhateverNameTheFolderHas) {
  const support::ScratchFolder scratch;
  const fs::path out = scratch.path() / "out";
  fs::create_directories(out);
  const std::string study = support::write_small_study(scratch.path(), "[\"200 s\"]").string();
  support::Program first(
      {support::sillion_path(), "sweep", study, "--quiet", "--out", out.string()});
  while (first.running() && !fs::exists(sim::output::ledger_file(out))) usleep(2000);
  const Ended same = support::sillion({"sweep", study, "--quiet", "--out", out.string()});
  EXPECT_EQ(same.code, 2);
  EXPECT_THAT(same.err, HasSubstr("is at work there"));
  const fs::path elsewhere = scratch.path() / "elsewhere";
  fs::create_directories(elsewhere);
  const Ended mounted =
      support::run_program({"unshare", "-m", "sh", "-c",
                            "mount --bind '" + out.string() + "' '" + elsewhere.string() +
                                "' || exit 99; '" + support::sillion_path() + "' sweep " + study +
                                " --quiet --resume --out " + elsewhere.string()});
  if (mounted.code != 99) {
    EXPECT_EQ(mounted.code, 2) << mounted.err;
    EXPECT_THAT(mounted.err, HasSubstr("ledger.sqlite: another process has it open"));
  }
  EXPECT_EQ(first.wait().code, 0);
}

}  // namespace
