// A sweep under mpirun: any number of ranks gives the files of one process, a rank that is killed
// loses no cell, and a rank that reads another study is named. Skips where there is no mpirun.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/result_folder.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace {

using support::Ended;
using support::Program;
using ::testing::HasSubstr;
namespace fs = std::filesystem;

class Ranks : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!fs::exists(fs::path(SILLION_BINARY_DIR) / "sillion_ranks.so") ||
        support::run_program({"mpirun", "--version"}).code != 0)
      GTEST_SKIP() << "no MPI on this machine";
  }

  fs::path at(const std::string& name) { return scratch_.path() / name; }
  /// Several ranks on this machine that speak through its memory, with this command line of bash.
  static std::vector<std::string> under_mpirun(int ranks, const std::string& line) {
    return {"mpirun", "--oversubscribe",     "--mca", "btl", "self,vader",
            "-n",     std::to_string(ranks), "bash",  "-c",  line};
  }
  static const support::Environment& as_root() {
    static const support::Environment allowed = {{"OMPI_ALLOW_RUN_AS_ROOT", "1"},
                                                 {"OMPI_ALLOW_RUN_AS_ROOT_CONFIRM", "1"}};
    return allowed;
  }
  std::string line(const fs::path& study, const std::string& out, const std::string& more = "") {
    return "exec " + support::sillion_path() + " sweep " + study.string() + " --out " +
           at(out).string() + " --threads 1 " + more;
  }
  Ended ranked(int ranks, const std::string& line) {
    return support::run_program(under_mpirun(ranks, line), as_root());
  }
  Ended whole(const fs::path& study, const std::string& out) {
    return support::sillion({"sweep", study.string(), "--quiet", "--out", at(out).string()});
  }

  support::ScratchFolder scratch_;
};

TEST_F(Ranks, AnyNumberGivesTheFilesOfOneProcess) {
  const fs::path study = support::write_small_study(scratch_.path(), "[\"3 s\", \"4 s\"]");
  ASSERT_EQ(whole(study, "whole").code, 0);
  const auto expected = support::results_below(at("whole"));
  ASSERT_EQ(expected.size(), 3u);
  for (const int ranks : {1, 2, 5}) {
    const Ended ended = ranked(ranks, line(study, "ranked"));
    EXPECT_EQ(ended.code, 0) << ended.err;
    EXPECT_EQ(support::results_below(at("ranked")), expected) << ranks;
    EXPECT_EQ(support::files_below(at("ranked")).size(), 4u);  // one ledger, none of a rank
    EXPECT_EQ(support::kept_below(at("ranked")).size(), 6u);
    EXPECT_EQ(ended.out.find("requirement holds"), ended.out.rfind("requirement holds"));
  }
}

TEST_F(Ranks, OneThatIsKilledLosesNoCell) {
  const fs::path study = support::write_small_study(scratch_.path(), "[\"30 s\", \"90 s\"]");
  ASSERT_EQ(whole(study, "whole").code, 0);
  const auto expected = support::results_below(at("whole"));
  const std::string pid = at("pid").string() + "$OMPI_COMM_WORLD_RANK";
  Program program(under_mpirun(3, "echo $$ > " + pid + "; " + line(study, "cut")), as_root());
  // Long enough for rank 1 to have begun its passes, which a file of its own shows.
  while (program.running() && !fs::exists(sim::output::rank_ledger_file(at("cut"), 1)))
    usleep(2000);
  usleep(400'000);
  kill(std::stoi(support::text_of(at("pid1"))), SIGKILL);
  const Ended cut = program.wait();
  EXPECT_NE(cut.code, 0);
  EXPECT_THAT(cut.err, HasSubstr("rank 1 of 3 has died; the cells that are finished stay"));
  EXPECT_THAT(cut.err, HasSubstr("--resume"));
  EXPECT_TRUE(support::results_below(at("cut")).empty());
  EXPECT_TRUE(fs::exists(sim::output::rank_ledger_file(at("cut"), 0)));
  const Ended resumed = ranked(2, line(study, "cut", "--resume"));
  EXPECT_EQ(resumed.code, 0) << resumed.err;
  EXPECT_EQ(support::results_below(at("cut")), expected);
}

TEST_F(Ranks, WhatIsWrongIsSaidOnceWithItsCode) {
  const Ended none = ranked(3, line(at("none.toml"), "out"));
  EXPECT_EQ(none.code, 2) << none.err;
  EXPECT_EQ(none.err.find("none.toml: cannot read"), none.err.rfind("none.toml: cannot read"));
  const fs::path study = support::write_small_study(scratch_.path(), "[\"3 s\"]");
  const Ended other = ranked(3, "[ $OMPI_COMM_WORLD_RANK = 2 ] && more='--set replicas=3'; " +
                                    line(study, "out", "$more"));
  EXPECT_EQ(other.code, 2) << other.err;
  EXPECT_THAT(other.err, HasSubstr("rank 2 of 3 has another study than rank 0"));
}

TEST_F(Ranks, OneThatFailsSaysWhyAndTheOthersWhichItWas) {
  const fs::path study = support::write_small_study(scratch_.path(), "[\"3 s\"]");
  ASSERT_EQ(whole(study, "whole").code, 0);
  const auto expected = support::results_below(at("whole"));
  const fs::path in_the_way = sim::output::rank_ledger_file(at("out"), 1);
  fs::create_directories(in_the_way / "in the way");
  const Ended failed = ranked(2, line(study, "out"));
  EXPECT_TRUE(failed.code == 2 || failed.code == 3) << failed.code;  // whichever ends first
  EXPECT_THAT(failed.err, HasSubstr("rank 1 of 2 has failed with exit code 2"));
  EXPECT_THAT(failed.err, HasSubstr(in_the_way.string()));
  fs::remove_all(in_the_way);
  const Ended resumed = support::sillion(
      {"sweep", study.string(), "--quiet", "--out", at("out").string(), "--resume"});
  EXPECT_EQ(resumed.code, 0) << resumed.err;
  EXPECT_EQ(support::results_below(at("out")), expected);
}

}  // namespace
