// Examples in --help can be pasted: files that they read are there, and options take what they
// show.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <regex>
#include <string>
#include <vector>

#include "tests/support/run_program.h"

namespace {

const std::vector<std::string> kCommands = {"run",   "sweep",  "budget",  "rig",  "valve",
                                            "delay", "today",  "outlet",  "rate", "explain",
                                            "check", "accept", "compare", "list"};

/// Words of the examples that name a file to read: not those behind an option that writes, nor what
/// an example before it has written.
std::vector<std::string> files_read(const std::string& help) {
  static const std::regex word(R"((--[a-z-]+ )?"?([A-Za-z0-9_./-]+\.(toml|csv|nmea|so)))");
  std::vector<std::string> files, written;
  const std::string examples = help.substr(std::min(help.find("Examples:"), help.size()));
  for (auto at = std::sregex_iterator(examples.begin(), examples.end(), word);
       at != std::sregex_iterator(); ++at) {
    const std::string option = (*at)[1];
    const std::string before = examples.substr(0, static_cast<std::size_t>(at->position()));
    const bool by_rig = before.rfind("sillion rig") != std::string::npos &&
                        before.rfind("sillion rig") + 1 > before.rfind("\n") + 1;
    if (option == "--trace " && by_rig) written.push_back((*at)[2]);
    if (std::find(written.begin(), written.end(), (*at)[2]) != written.end()) continue;
    if (option == "--out " || option == "--wave " || option == "--furrow ") continue;
    files.push_back((*at)[2]);
  }
  return files;
}

TEST(Help, NamesOnlyFilesThatAreThere) {
  std::size_t named = 0;
  for (const std::string& command : kCommands) {
    const support::Ended ended = support::sillion({command, "--help"});
    ASSERT_EQ(ended.code, 0) << command;
    for (std::string file : files_read(ended.out)) {
      ++named;
      // what `build/release` means to the reader is this very build
      const std::string release = "build/release/";
      if (file.starts_with(release))
        file = std::string(SILLION_BINARY_DIR) + "/" + file.substr(release.size());
      EXPECT_TRUE(std::filesystem::exists(std::filesystem::path(SILLION_SOURCE_DIR) / file))
          << "sillion " << command << " --help names " << file;
    }
  }
  EXPECT_GE(named, 15u);
}

// A number out of range is told in a line that a person reads.
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
