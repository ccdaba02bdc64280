// The program as a user meets it at the command line, mistakes and interruptions included.
//
// Exit codes are those of README.md's table: 0 holds, 1 violated, 2 usage or input, 5 nothing to
// judge, 130 and 143 interrupted. What a machine reads is on standard output, everything said to
// people on standard error.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "tests/support/run_program.h"

namespace {

using support::Ended;
using support::ScratchFolder;
using support::sillion;
using ::testing::AnyOf;
using ::testing::Eq;
using ::testing::HasSubstr;

constexpr const char* kDemo = "scenarios/demo.toml";
const std::vector<std::string> kCommands = {"run", "sweep", "explain", "list"};

/// A run of the demo that takes a moment: one row, few seeds.
std::vector<std::string> short_run(const std::filesystem::path& out) {
  return {"run", kDemo, "--set", "seeds=20", "--set", "row.count=1", "--out", out.string()};
}

std::vector<std::string> and_also(std::vector<std::string> words,
                                  const std::vector<std::string>& more) {
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

int lines_with(const std::string& text, const std::string& start) {
  int count = 0;
  for (std::size_t at = text.find(start); at != std::string::npos; at = text.find(start, at + 1))
    ++count;
  return count;
}

std::set<std::string> names_in(const std::filesystem::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    names.insert(entry.path().filename().string());
  return names;
}

const std::set<std::string> kRunFiles = {"summary.json", "seeds.csv", "applied.csv", "report.html"};

}  // namespace

TEST(CommandHelp, ExitsZeroWithTwoExamplesForEveryCommand) {
  for (const std::string& command : kCommands) {
    const Ended ended = sillion({command, "--help"});
    EXPECT_EQ(ended.code, 0) << command;
    EXPECT_GE(lines_with(ended.out, "sillion " + command + " "), 2) << command << "\n" << ended.out;
    EXPECT_EQ(ended.err, "") << command;
  }
}

TEST(CommandHelp, OfTheProgramNamesEveryCommand) {
  const Ended ended = sillion({"--help"});
  EXPECT_EQ(ended.code, 0);
  for (const std::string& command : kCommands) EXPECT_THAT(ended.out, HasSubstr(command));
}

TEST(CommandMistake, NoCommandIsUsage) {
  const Ended ended = sillion({});
  EXPECT_EQ(ended.code, 2);
  EXPECT_EQ(ended.out, "");
  EXPECT_THAT(ended.err, HasSubstr("--help"));
}

TEST(CommandMistake, UnknownCommandIsNamedBack) {
  const Ended ended = sillion({"swep", "scenarios/demo_sweep.toml"});
  EXPECT_EQ(ended.code, 2);
  EXPECT_EQ(ended.out, "");
  EXPECT_THAT(ended.err, HasSubstr("swep"));
}

TEST(CommandMistake, UnknownOptionIsNamedBack) {
  const Ended ended = sillion({"run", kDemo, "--colour"});
  EXPECT_EQ(ended.code, 2);
  EXPECT_EQ(ended.out, "");
  EXPECT_THAT(ended.err, HasSubstr("--colour"));
}

TEST(CommandMistake, OptionWithoutItsValueIsUsage) {
  EXPECT_EQ(sillion({"run", kDemo, "--out"}).code, 2);
  EXPECT_EQ(sillion({"run", kDemo, "--units", "furlongs"}).code, 2);
  EXPECT_EQ(sillion({"run", kDemo, "--threads", "-3"}).code, 2);
  EXPECT_EQ(sillion({"run", kDemo, "--threads", "many"}).code, 2);
}

TEST(CommandMistake, MissingFileIsNamedAndNothingIsWritten) {
  const ScratchFolder scratch;
  for (const std::string command : {"run", "sweep"}) {
    const std::filesystem::path out = scratch.path() / "result";
    const Ended ended = sillion({command, "scenarios/no_such_file.toml", "--out", out.string()});
    EXPECT_EQ(ended.code, 2) << command;
    EXPECT_THAT(ended.err, HasSubstr("no_such_file.toml")) << command;
    EXPECT_FALSE(std::filesystem::exists(out)) << command;
  }
}

TEST(CommandMistake, FolderInPlaceOfAFileIsInputError) {
  EXPECT_EQ(sillion({"run", "scenarios"}).code, 2);
}

TEST(CommandMistake, OverrideOfAnUnknownKeySaysTheNearest) {
  const ScratchFolder scratch;
  const std::filesystem::path out = scratch.path() / "result";
  const Ended ended = sillion(and_also(short_run(out), {"--set", "travel.sped=\"12 km/h\""}));
  EXPECT_EQ(ended.code, 2);
  EXPECT_THAT(ended.err, HasSubstr("travel.sped"));
  EXPECT_THAT(ended.err, HasSubstr("nearest valid name: `travel.speed`"));
  EXPECT_FALSE(std::filesystem::exists(out));
}

TEST(CommandMistake, OverrideWithoutOrWithTheWrongUnitIsInputError) {
  for (const std::string set :
       {"travel.speed=12", "travel.speed=\"12 bar\"", "travel.speed=\"fast\"", "travel.speed"}) {
    const ScratchFolder scratch;
    const std::filesystem::path out = scratch.path() / "result";
    const Ended ended = sillion(and_also(short_run(out), {"--set", set}));
    EXPECT_EQ(ended.code, 2) << set;
    EXPECT_THAT(ended.err, HasSubstr("travel.speed")) << set;
    EXPECT_FALSE(std::filesystem::exists(out)) << set;
  }
}

TEST(CommandMistake, OutCannotBeBelowAFile) {
  const ScratchFolder scratch;
  std::ofstream(scratch.path() / "file") << "x";
  const Ended ended = sillion(short_run(scratch.path() / "file" / "result"));
  EXPECT_EQ(ended.code, 2) << ended.err;
  EXPECT_EQ(support::text_of(scratch.path() / "file"), "x");
}

TEST(CommandMistake, ExplainOfASeedThatIsNotThereIsInputError) {
  EXPECT_EQ(sillion({"explain", kDemo, "--row", "99", "--seed", "1"}).code, 2);
  EXPECT_EQ(sillion({"explain", kDemo, "--row", "0", "--seed", "-5"}).code, 2);
}

TEST(CommandRun, WritesItsThreeFilesAndNothingElse) {
  const ScratchFolder scratch;
  const Ended ended = sillion(short_run(scratch.path() / "result"));
  EXPECT_THAT(ended.code, AnyOf(Eq(0), Eq(1))) << ended.err;
  EXPECT_EQ(names_in(scratch.path()), std::set<std::string>{"result"});
  EXPECT_EQ(names_in(scratch.path() / "result"), kRunFiles);
}

TEST(CommandRun, WithJsonPrintsOneDocumentAndTalksOnStandardError) {
  const ScratchFolder scratch;
  const Ended ended = sillion(and_also(short_run(scratch.path() / "result"), {"--json"}));
  EXPECT_THAT(ended.code, AnyOf(Eq(0), Eq(1))) << ended.err;
  const nlohmann::json document = nlohmann::json::parse(ended.out, nullptr, false);
  ASSERT_FALSE(document.is_discarded()) << ended.out.substr(0, 400);
  EXPECT_TRUE(document.contains("verdict"));
  EXPECT_TRUE(document.contains("hashes"));
}

TEST(CommandRun, ViolatedRequirementEndsWithOneAndStillWritesEverything) {
  const ScratchFolder scratch;
  // No machine lays every band within a thousandth of a millimetre of its seed.
  const Ended ended = sillion(and_also(
      short_run(scratch.path() / "result"),
      {"--set", "require=[{metric = \"placement_error_abs_p95\", at_most = \"0.001 mm\"}]"}));
  EXPECT_EQ(ended.code, 1) << ended.err;
  EXPECT_EQ(names_in(scratch.path() / "result"), kRunFiles);
  const auto summary =
      nlohmann::json::parse(support::text_of(scratch.path() / "result" / "summary.json"));
  EXPECT_EQ(summary.at("verdict"), "fail");
}

TEST(CommandRun, OverrideChangesTheParametersHash) {
  const ScratchFolder scratch;
  sillion(short_run(scratch.path() / "a"));
  sillion(and_also(short_run(scratch.path() / "b"), {"--set", "travel.speed=\"9 km/h\""}));
  const auto a = nlohmann::json::parse(support::text_of(scratch.path() / "a" / "summary.json"));
  const auto b = nlohmann::json::parse(support::text_of(scratch.path() / "b" / "summary.json"));
  EXPECT_NE(a.at("hashes").at("parameters"), b.at("hashes").at("parameters"));
  EXPECT_EQ(a.at("hashes").at("program"), b.at("hashes").at("program"));
}

TEST(CommandRun, DryRunWritesNothing) {
  const ScratchFolder scratch;
  const Ended ended = sillion(and_also(short_run(scratch.path() / "result"), {"--dry-run"}));
  EXPECT_EQ(ended.code, 0) << ended.err;
  EXPECT_TRUE(names_in(scratch.path()).empty());
}

TEST(CommandList, KnowsItsKindsAndRefusesOthers) {
  for (const std::string kind : {"liquids", "attachments", "faults", "metrics", "signals", "frames",
                                 "units", "schemas", "crops"}) {
    const Ended ended = sillion({"list", kind});
    EXPECT_EQ(ended.code, 0) << kind << "\n" << ended.err;
    EXPECT_FALSE(ended.out.empty()) << kind;
  }
  const Ended refused = sillion({"list", "metrix"});
  EXPECT_EQ(refused.code, 2);
  EXPECT_THAT(refused.err, HasSubstr("metrics"));
}

TEST(CommandExplain, TellsTheSeedsWayWithNumbers) {
  const Ended ended = sillion(
      {"explain", kDemo, "--set", "seeds=20", "--set", "row.count=1", "--row", "0", "--seed", "7"});
  EXPECT_EQ(ended.code, 0) << ended.err;
  EXPECT_THAT(ended.out, HasSubstr("ms"));
}

// At 0.1 V no plunger leaves its seat: this is reported first, before any share.
TEST(CommandRun, SaysFirstThatTheValveCannotOpen) {
  const ScratchFolder scratch;
  const Ended ended =
      sillion(and_also(short_run(scratch.path() / "o"),
                       {"--set", "supply.voltage=0.1 V", "--set", "controller.row_trim=false"}));
  EXPECT_EQ(ended.code, 1) << ended.err;
  EXPECT_THAT(ended.out, testing::StartsWith("The valve cannot open at 0.1 V and "));
}

// Interrupted in the middle, a run leaves whole files or none and says how to go on.
TEST(CommandInterrupt, LeavesWholeFilesOrNoneAndSaysHowToGoOn) {
  struct Interrupt {
    int signal_number;
    int code;
  };
  for (const Interrupt interrupt : {Interrupt{SIGINT, 130}, Interrupt{SIGTERM, 143}}) {
    const ScratchFolder scratch;
    const std::filesystem::path out = scratch.path() / "result";
    support::Program program(
        {support::sillion_path(), "run", kDemo, "--set", "seeds=1000000", "--out", out.string()});
    ASSERT_FALSE(program.ends_within(std::chrono::milliseconds(700))) << program.wait().err;
    program.send(interrupt.signal_number);
    ASSERT_TRUE(program.ends_within(std::chrono::seconds(20)))
        << "it does not heed signal " << interrupt.signal_number;
    const Ended ended = program.wait();
    EXPECT_EQ(ended.code, interrupt.code) << ended.err;
    EXPECT_THAT(ended.err, HasSubstr("sillion run scenarios/demo.toml"));
    EXPECT_TRUE(names_in(scratch.path()).empty()) << "something half done is left behind";
  }
}

// A second run over an old result either replaces all of it or leaves all of it.
TEST(CommandInterrupt, KeepsTheOldResultWhole) {
  const ScratchFolder scratch;
  const std::filesystem::path out = scratch.path() / "result";
  sillion(short_run(out));
  const std::string before = support::text_of(out / "summary.json");
  ASSERT_FALSE(before.empty());
  support::Program program(
      {support::sillion_path(), "run", kDemo, "--set", "seeds=1000000", "--out", out.string()});
  ASSERT_FALSE(program.ends_within(std::chrono::milliseconds(700))) << program.wait().err;
  program.send(SIGINT);
  ASSERT_TRUE(program.ends_within(std::chrono::seconds(20)));
  EXPECT_EQ(names_in(scratch.path()), std::set<std::string>{"result"});
  EXPECT_EQ(names_in(out), kRunFiles);
  EXPECT_EQ(support::text_of(out / "summary.json"), before);
}
