// Examples in --help can be pasted: files that they read are there, and options take what they
// show.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "tests/support/example_files.h"
#include "tests/support/parsed_command.h"
#include "tests/support/run_program.h"

namespace {

const std::vector<std::string> kCommands = {
    "run",     "sweep", "budget", "rig",     "valve",  "delay", "today", "outlet", "rate",
    "explain", "check", "accept", "compare", "search", "page",  "map",   "unit",   "list"};

TEST(Help, ExamplesAreTakenAndNameOnlyFilesThatAreThere) {
  for (const std::string& command : kCommands) {
    const support::Ended ended = support::sillion({command, "--help"});
    ASSERT_EQ(ended.code, 0) << command;
    const auto examples = support::examples_of_help(command, ended.out);
    EXPECT_GE(examples.size(), 2u) << command;
    support::ExampleFiles files;
    for (const support::Example& one : examples) {
      EXPECT_TRUE(support::program_takes(one.words)) << one.command;
      EXPECT_THAT(files.missing_of(one), ::testing::IsEmpty()) << one.command;
    }
  }
}

// A number out of range is reported in one line that a person can read.
TEST(Help, ANumberOutOfRangeIsToldShortly) {
  for (const std::vector<std::string>& words : std::vector<std::vector<std::string>>{
           {"run", "scenarios/demo.toml", "--threads", "-1"},
           {"budget", "scenarios/demo.toml", "--seeds", "0"},
           {"run", "scenarios/demo.toml", "--budget-seeds", "-5"}}) {
    const support::Ended ended = support::sillion(words);
    EXPECT_EQ(ended.code, 2) << words[2];
    EXPECT_THAT(ended.err, ::testing::HasSubstr(words[2]));
    EXPECT_LT(ended.err.size(), 160u) << ended.err;
  }
}

}  // namespace
