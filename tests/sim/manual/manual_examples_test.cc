// Every example command line of README.md and manual is one that the program takes, and names only
// files that are there or that a command before it has written.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>

#include "sim/scenario/sections.h"
#include "sim/study/rig/rig_setup.h"
#include "tests/support/example_files.h"
#include "tests/support/parsed_command.h"
#include "tests/support/run_program.h"

namespace {

using support::Example;
using support::FencedBlock;

std::vector<FencedBlock> all_blocks() {
  std::vector<FencedBlock> all;
  for (const std::string& page : support::manual_pages())
    for (FencedBlock& block : support::fenced_blocks(page, support::text_of_page(page)))
      all.push_back(std::move(block));
  return all;
}

std::vector<Example> all_examples() {
  std::vector<Example> all;
  for (const FencedBlock& block : all_blocks())
    for (Example& one : support::examples_of(block)) all.push_back(std::move(one));
  return all;
}

TEST(ManualExamples, TheProgramTakesEveryCommandLine) {
  std::set<std::string> commands;
  for (Example one : all_examples()) {
    if (one.words[0] == "mpirun")  // a launcher, then the program
      while (one.words.size() > 1 && !support::is_sillion(one)) one.words.erase(one.words.begin());
    if (!support::is_sillion(one)) continue;
    EXPECT_TRUE(support::program_takes(one.words)) << one.place << ": " << one.command;
    commands.insert(one.words.at(1));
  }
  EXPECT_EQ(commands.size(), 21u) << "every command has an example";
  EXPECT_FALSE(support::program_takes({"sillion", "run", "a.toml", "--unheard-of"}));
}

TEST(ManualExamples, FilesAreThereOrWrittenBefore) {
  for (const FencedBlock& block : all_blocks()) {
    support::ExampleFiles files;
    for (const FencedBlock& other :
         support::fenced_blocks(block.page, support::text_of_page(block.page)))
      if (other.language == "csv") files.add_written(other.kind);
    for (const Example& one : support::examples_of(block))
      EXPECT_THAT(files.missing_of(one), ::testing::IsEmpty()) << one.place << ": " << one.command;
  }
  support::ExampleFiles none;
  EXPECT_THAT(none.missing_of({"", "", {"sillion", "run", "scenarios/no.toml"}, "", {}}),
              ::testing::ElementsAre("scenarios/no.toml"));
}

// What stands beside the program in an example is a tool of the reader's machine or one of ours.
TEST(ManualExamples, OtherProgramsAreKnown) {
  const std::set<std::string> tools = {"bash", "cc", "cp", "cmake", "mpirun"};
  for (const Example& one : all_examples()) {
    if (support::is_sillion(one) || tools.count(one.words[0]) > 0) continue;
    const bool with_setting = one.words[0].find('=') != std::string::npos;  // NAME=VALUE ahead
    ASSERT_EQ(one.words.size(), with_setting ? 3u : 2u) << one.place << ": " << one.command;
    EXPECT_TRUE(one.words.end()[-2].starts_with("build/release/tests/")) << one.place;
    const std::string suite = one.words.back().substr(one.words.back().find('=') + 1);
    const std::string test = "TEST(" + suite.substr(0, suite.find('.')) + ",";
    bool found = false;
    for (const auto& entry :
         std::filesystem::directory_iterator(SILLION_SOURCE_DIR "/tests/published"))
      found = found || (entry.is_regular_file() &&
                        support::text_of(entry.path()).find(test) != std::string::npos);
    EXPECT_TRUE(found) << one.place << ": no test " << test;
  }
}

std::set<std::string> known_keys() {
  std::set<std::string> keys = {"stop.most", "plan.concentrate", "set.require", "set.duration",
                                "machine.speed"};  // a signal of a recording
  for (const sim::text::KeyHelp& key : sim::scenario::scenario_keys()) keys.insert(key.key);
  for (const sim::text::KeyHelp& key : sim::rig::rig_keys()) keys.insert(key.key);
  return keys;
}

// A key in the prose or behind --set is one that `list keys` or `list rig` prints.
TEST(ManualExamples, KeysAreThoseOfTheProgram) {
  const std::set<std::string> keys = known_keys();
  const std::regex dotted(R"(([a-z_]+\.)+[a-z_]+)");
  std::size_t seen = 0;
  for (const std::string& page : support::manual_pages()) {
    for (const std::string& word :
         support::code_words_of(support::prose_of(support::text_of_page(page)))) {
      if (!std::regex_match(word, dotted) || support::names_a_file(word) ||
          std::regex_match(
              word, std::regex(R"(.*\.(json|md|xml|jsonl|sqlite|wav|raw|gpkg|geojson|fmu))")))
        continue;
      ++seen;
      EXPECT_EQ(keys.count(word), 1u) << page << ": `" << word << "`";
    }
  }
  for (const Example& one : all_examples()) {
    for (std::size_t i = 1; i < one.words.size(); ++i) {
      if (one.words[i - 1] != "--set") continue;
      const std::string key = one.words[i].substr(0, one.words[i].find('='));
      const bool top = key.find('.') == std::string::npos;  // title, replicas, seeds
      ++seen;
      EXPECT_TRUE(top || keys.count(key) == 1) << one.place << ": " << key;
    }
  }
  EXPECT_GE(seen, 15u);
}

// An option that the prose names is one that some command's --help knows.
TEST(ManualExamples, OptionsAreThoseOfTheProgram) {
  std::string help = "--all --slow ";  // of scenarios/demo.sh and tests/all.sh
  for (const char* command :
       {"run", "sweep", "budget", "rig", "valve", "delay", "today", "outlet", "rate", "explain",
        "check", "accept", "compare", "score", "stimulus", "page", "map", "unit", "list"})
    help += support::sillion({command, "--help"}).out;
  const std::regex option(R"(--[a-z-]+)");
  for (const std::string& page : support::manual_pages()) {
    const std::string prose = support::prose_of(support::text_of_page(page));
    for (const std::string& word : support::code_words_of(prose)) {
      if (!word.starts_with("--")) continue;
      std::smatch match;
      ASSERT_TRUE(std::regex_search(word, match, option));
      EXPECT_NE(help.find(match.str() + " "), std::string::npos) << page << ": " << word;
    }
  }
}

}  // namespace
