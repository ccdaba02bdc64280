// `check` and `accept` as a user meets them: exit codes in their order, what is refused, and a
// check that is killed and goes on to the same bytes.
#include <gtest/gtest.h>
#include <signal.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "tests/support/result_files.h"
#include "tests/support/run_program.h"
#include "tests/support/small_suite.h"

namespace {

using support::comparable;
using support::Ended;
using support::text_of;
namespace fs = std::filesystem;

std::string faulty(const std::string& name) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + name + ".so";
}

class Check : public testing::Test {
 protected:
  Ended check(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> words = {"check", suite_.string(), "--quiet", "--out", out_.string()};
    words.insert(words.end(), more.begin(), more.end());
    return support::sillion(words, {{"CI", ""}});
  }
  Ended accept(const std::vector<std::string>& more, const std::string& ci = "") const {
    std::vector<std::string> words = {"accept", suite_.string(), "--quiet", "--out", out_.string()};
    words.insert(words.end(), more.begin(), more.end());
    return support::sillion(words, {{"CI", ci}});
  }
  void write_suite(const std::string& text) const { std::ofstream(suite_) << text; }
  fs::path baseline() const { return scratch_.path() / "small.baseline.tsv"; }

  support::ScratchFolder scratch_;
  fs::path suite_ = support::write_small_suite(scratch_.path());
  fs::path out_ = scratch_.path() / "out";
};

const std::vector<std::string> kAll = {"--only", "*", "--reason", "first results"};

TEST_F(Check, FirstItWaitsForAcceptanceAndThenItHolds) {
  EXPECT_EQ(check({"--strict"}).code, 6);
  const Ended first = check();
  EXPECT_EQ(first.code, 0);
  EXPECT_NE(first.out.find("4 wait for acceptance"), std::string::npos) << first.out;
  const Ended accepted = accept(kAll);
  EXPECT_EQ(accepted.code, 0) << accepted.err;
  EXPECT_NE(accepted.out.find("accepted 4 scenarios"), std::string::npos) << accepted.out;
  EXPECT_EQ(check({"--strict"}).code, 0);
  EXPECT_NE(accept(kAll).out.find("nothing to accept"), std::string::npos);
  for (const char* file : {"junit.xml", "cases.jsonl", "summary.md"})
    EXPECT_FALSE(text_of(out_ / file).empty()) << file;
}

TEST_F(Check, OnlySomeIsNoVerdictOfTheSuite) {
  ASSERT_EQ(check().code, 0);
  ASSERT_EQ(accept(kAll).code, 0);
  const Ended some = check({"--strict", "--only", "still/*"});
  EXPECT_EQ(some.code, 0) << some.out;
  EXPECT_EQ(some.out.find("2 scenarios hold"), 0u) << some.out;
  EXPECT_NE(some.out.find("no verdict of the suite: 2 of its scenarios were not asked for"),
            std::string::npos)
      << some.out;
  const Ended none = check({"--only", "stll/*"});
  EXPECT_EQ(none.code, 2);
  EXPECT_NE(none.err.find("--only stll/*: matches no scenario; nearest valid name: `still/"),
            std::string::npos)
      << none.err;
}

TEST_F(Check, WorseThanAcceptedIsRedEvenWhereRequirementsHold) {
  std::string text = support::small_suite_text();
  // leaves only what the requirements cannot see: the mean may move by 0.3 mm, not by 0.45
  for (std::size_t at = 0; (at = text.find("at_most = \"0.45 mm\"", at)) != std::string::npos;)
    text.replace(at, 19, "at_most = \"9.45 mm\"");
  write_suite(text);
  ASSERT_EQ(check().code, 0);
  ASSERT_EQ(accept(kAll).code, 0);
  const Ended late = check({"--controller", faulty("late")});
  EXPECT_EQ(late.code, 1);
  EXPECT_NE(late.err.find("placement_error_mean: "), std::string::npos) << late.err;
  EXPECT_NE(late.err.find("was accepted"), std::string::npos) << late.err;
  // and it cannot be accepted: the drift since the release mark is beyond the margin
  const Ended refused =
      accept({"--only", "*", "--reason", "x", "--bulk", "--controller", faulty("late")});
  EXPECT_EQ(refused.code, 1);
  EXPECT_NE(refused.err.find("since the last release mark"), std::string::npos) << refused.err;
}

TEST_F(Check, AViolatedRequirementCannotBeAccepted) {
  ASSERT_EQ(check({"--controller", faulty("deaf")}).code, 1);
  const Ended refused =
      accept({"--only", "still*", "--reason", "x", "--controller", faulty("deaf")});
  EXPECT_EQ(refused.code, 1);
  EXPECT_NE(refused.err.find("is refused: no_band at most"), std::string::npos) << refused.err;
  EXPECT_FALSE(fs::exists(baseline()));
}

TEST_F(Check, AcceptIsRefusedInCiWithoutResultsWithoutReasonAndForNoName) {
  EXPECT_EQ(accept(kAll).code, 2);  // nothing has run
  ASSERT_EQ(check().code, 0);
  const Ended ci = accept(kAll, "true");
  EXPECT_EQ(ci.code, 2);
  EXPECT_NE(ci.err.find("refused where CI=true"), std::string::npos) << ci.err;
  EXPECT_EQ(accept({"--only", "*", "--reason", "  "}).code, 2);
  const Ended none = accept({"--only", "stil/*", "--reason", "x"});
  EXPECT_EQ(none.code, 2);
  EXPECT_NE(none.err.find("matches no scenario; nearest valid name: `"), std::string::npos)
      << none.err;
  EXPECT_EQ(accept({"--reason", "x"}).code, 2);
  EXPECT_FALSE(fs::exists(baseline()));
}

// The margins are wide enough for the change, so only the behaviour differs; a fourth of the suite
// is more than a tenth.
TEST_F(Check, ManyAtOnceNeedBulkAndAReleaseMarkNeedsAcceptance) {
  std::string text = support::small_suite_text();
  text.replace(text.rfind("at_least = \"95 %\""), 17, "at_least = \"10 %\"");
  text.insert(text.find("[[family]]"),
              "[margin]\ndose_within_10_percent_sensed = \"90 %\"\nsecondary_ratio = \"9 %\"\n"
              "within_10mm_sensed = \"20 %\"\nwithin_25mm_sensed = \"20 "
              "%\"\nlength_within_10mm_sensed = \"20 %\"\n"
              "gap_ratio = \"20 %\"\nplacement_error_abs_p95 = \"9 mm\"\n"
              "placement_error_mean = \"9 mm\"\n");
  write_suite(text);
  ASSERT_EQ(check().code, 0) << check().err;
  ASSERT_EQ(accept(kAll).code, 0);
  const std::vector<std::string> other = {"--controller", faulty("no_lag")};
  const Ended changed = check({"--controller", faulty("no_lag"), "--strict"});
  EXPECT_EQ(changed.code, 6) << changed.err << changed.out;
  const auto with = [&](std::vector<std::string> words) {
    words.insert(words.end(), other.begin(), other.end());
    return accept(words);
  };
  EXPECT_EQ(with({"--only", "*", "--release", "--reason", "1.0"}).code, 2);
  const Ended many = with({"--only", "*", "--reason", "x"});
  EXPECT_EQ(many.code, 2);
  EXPECT_NE(many.err.find("--bulk"), std::string::npos) << many.err;
  EXPECT_EQ(with({"--only", "*", "--reason", "the valve closes as it opens", "--bulk"}).code, 0);
  EXPECT_EQ(check({"--controller", faulty("no_lag"), "--strict"}).code, 0);
  EXPECT_NE(text_of(baseline()).find("the valve closes as it opens"), std::string::npos);
  EXPECT_EQ(with({"--only", "*", "--release", "--reason", "1.0"}).code, 0);
  EXPECT_NE(text_of(baseline()).find("release: 1.0"), std::string::npos);
}

TEST_F(Check, SameInputsWithOtherBytesIsSeven) {
  ASSERT_EQ(check().code, 0);
  ASSERT_EQ(accept(kAll).code, 0);
  std::string text = text_of(baseline());
  const std::size_t at = text.find("\tresult\t") + 8;
  text.replace(at, 4, text.compare(at, 4, "0000") == 0 ? "1111" : "0000");
  std::ofstream(baseline()) << text;
  const Ended ended = check();
  EXPECT_EQ(ended.code, 7);
  EXPECT_NE(ended.err.find("trust nothing"), std::string::npos) << ended.err;
  EXPECT_EQ(accept({"--only", "*", "--reason", "x", "--bulk"}).code, 7);
}

TEST_F(Check, ABudgetThatIsSpentNamesWhatDidNotRunAndIsNoPass) {
  const Ended ended = check({"--budget", "0s"});
  EXPECT_EQ(ended.code, 5);  // nothing ran at all
  EXPECT_NE(ended.out.find("4 of 4 did not run"), std::string::npos) << ended.out;
  const std::string summary = text_of(out_ / "summary.md");
  EXPECT_NE(summary.find("- still/10 km/h (mandatory)\n"), std::string::npos) << summary;
  EXPECT_NE(summary.find("- row\n"), std::string::npos) << summary;
  EXPECT_EQ(check({"--budget", "soon"}).code, 2);
  // A check that resumes from one mandatory case has run something, and other cases are missing.
  ASSERT_EQ(check().code, 0);
  std::size_t left = 0;
  for (const auto& entry : fs::directory_iterator(out_ / "runs"))
    if (left++ > 0) fs::remove(entry.path());
  EXPECT_EQ(check({"--budget", "0s", "--resume"}).code, 8);
}

TEST_F(Check, WithoutRequirementsOrSeedsItIsFive) {
  const std::string base = "base = \"" SILLION_SOURCE_DIR "/scenarios/pull_request_still.toml\"\n";
  write_suite("[[family]]\nname = \"a\"\n" + base +
              "set.require = []\nset.duration = \"3 s\"\nset.\"row.count\" = 1\n");
  EXPECT_EQ(check().code, 5);
  write_suite("[[family]]\nname = \"a\"\n" + base + "set.duration = \"0.2 s\"\n");
  const Ended early = check();
  EXPECT_EQ(early.code, 5);
  EXPECT_NE(early.err.find("error: a: "), std::string::npos) << early.err;
}

TEST_F(Check, MistakesAreTwoAndSayWhere) {
  EXPECT_EQ(check({"--baseline", "no/such.tsv"}).code, 2);
  EXPECT_EQ(check({"--keys", "x"}).code, 2);
  EXPECT_EQ(check({"--controller", "no/such.so"}).code, 2);
  EXPECT_EQ(support::sillion({"check", "no/such.toml"}).code, 2);
  write_suite("[[family]]\nname = \"a\"\nbase = \"gone.toml\"\n");
  const Ended ended = check();
  EXPECT_EQ(ended.code, 2);
  EXPECT_NE(ended.err.find("small.toml:3: family[0].base: no such file"), std::string::npos)
      << ended.err;
}

// Drawn keys are reported, give other results than the suite's, and repeat their own results.
TEST_F(Check, FreshKeysAreRecordedAndRepeated) {
  const Ended fresh = check({"--fresh-keys"});
  const std::string summary = text_of(out_ / "summary.md");
  const std::size_t at = summary.find("--keys ");
  ASSERT_NE(at, std::string::npos) << summary;
  const std::string keys = summary.substr(at + 7, summary.find('`', at) - at - 7);
  const std::string lines = text_of(out_ / "cases.jsonl");
  EXPECT_EQ(check({"--keys", keys}).code, fresh.code);
  EXPECT_EQ(check({"--keys", keys, "--fresh-keys"}).code, 2);
  EXPECT_EQ(text_of(out_ / "cases.jsonl"), lines);
  check();
  EXPECT_NE(text_of(out_ / "cases.jsonl"), lines);
}

TEST_F(Check, ThreadsChangeNoByteOfIt) {
  std::string first;
  for (const char* threads : {"1", "2", "5"}) {
    ASSERT_EQ(check({"--threads", threads}).code, 0);
    const std::string all = comparable(out_ / "junit.xml") + text_of(out_ / "cases.jsonl") +
                            text_of(out_ / "summary.md");
    if (first.empty()) first = all;
    EXPECT_EQ(all, first) << threads;
  }
}

// A killed check must not leave an older verdict for somebody to read.
TEST_F(Check, ItsFirstDeedIsToTakeTheOldVerdictAway) {
  ASSERT_EQ(check().code, 0);
  ASSERT_TRUE(fs::exists(out_ / "junit.xml"));
  support::Program program({support::sillion_path(), "check", suite_.string(), "--quiet", "--out",
                            out_.string(), "--threads", "1"});
  while (program.running() && fs::exists(out_ / "junit.xml"))
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  EXPECT_FALSE(fs::exists(out_ / "junit.xml"));
  program.send(SIGKILL);
  program.wait();
  EXPECT_FALSE(fs::exists(out_ / "junit.xml"));
}

// The command line that a failure prints repeats that failure.
TEST_F(Check, TheReplayLineFailsAsTheCaseDid) {
  check({"--controller", faulty("deaf"), "--json"});
  const std::string lines = text_of(out_ / "cases.jsonl");
  const auto one = nlohmann::json::parse(lines.substr(0, lines.find('\n')));
  ASSERT_EQ(one["trouble"], "violated");
  std::string line = one["replay"].get<std::string>();
  line = "cd '" + scratch_.path().string() + "' && '" + support::sillion_path() + "'" +
         line.substr(std::string("sillion").size()) + " --quiet --json --out replay";
  const Ended again = support::run_program({"sh", "-c", line});
  EXPECT_EQ(again.code, 1) << again.err;
  const auto summary = nlohmann::json::parse(again.out);
  EXPECT_EQ(summary["hashes"]["result"], one["hashes"]["result"]);
}

/// A check that is killed at many instants and resumed each time ends as one that is left alone.
void kill_and_resume(const fs::path& suite, const fs::path& scratch, int kills) {
  const auto words = [&](const fs::path& out, bool resume) {
    std::vector<std::string> all = {
        support::sillion_path(), "check", suite.string(), "--quiet", "--out", out.string()};
    if (resume) all.emplace_back("--resume");
    return all;
  };
  ASSERT_EQ(support::run_program(words(scratch / "whole", false)).code, 0);
  std::uint32_t draw = 12345;
  for (int k = 0; k < kills; ++k) {
    draw = draw * 1664525u + 1013904223u;
    support::Program program(words(scratch / "killed", k > 0));
    // The whole check takes most of a second; instants from its start to beyond its end.
    if (!program.ends_within(std::chrono::milliseconds(5 + (draw >> 8) % 900)))
      program.send(SIGKILL);
    program.wait();
    if (k % 5 == 4) fs::remove_all(scratch / "killed");
  }
  ASSERT_EQ(support::run_program(words(scratch / "killed", true)).code, 0);
  for (const char* file : {"junit.xml", "cases.jsonl", "summary.md"})
    EXPECT_EQ(comparable(scratch / "killed" / file), comparable(scratch / "whole" / file)) << file;
}

TEST_F(Check, KilledAtAnyInstantItGoesOnToTheSameBytes) {
  kill_and_resume(suite_, scratch_.path(), 12);
}

TEST_F(Check, AFullDiskAndAReadOnlyFolderAreClearErrors) {
  if (geteuid() == 0) {
    // Root writes into read-only folders; a file in the way stands for one that cannot be made.
    std::ofstream(scratch_.path() / "out") << "in the way";
    const Ended ended = check();
    EXPECT_EQ(ended.code, 2);
    EXPECT_NE(ended.err.find("cannot write"), std::string::npos) << ended.err;
  } else {
    fs::create_directories(out_);
    fs::permissions(out_, fs::perms::owner_read | fs::perms::owner_exec);
    EXPECT_EQ(check().code, 2);
    fs::permissions(out_, fs::perms::owner_all);
  }
  fs::remove_all(scratch_.path() / "out");
  fs::create_directories(out_ / "junit.xml");  // a folder where a file has to go
  const Ended blocked = check();
  EXPECT_EQ(blocked.code, 2);
  EXPECT_NE(blocked.err.find("junit.xml"), std::string::npos) << blocked.err;
}

TEST_F(Check, DryRunShowsTheOrderAndRunsNothing) {
  const Ended ended = check({"--dry-run"});
  EXPECT_EQ(ended.code, 0);
  EXPECT_NE(ended.out.find("would run 4 of 4 scenarios in this order"), std::string::npos);
  EXPECT_FALSE(fs::exists(out_));
}

}  // namespace
