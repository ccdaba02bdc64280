// Ctrl-C and kill end every command, wherever it is, with the signal's code and the command that
// starts it again, and leave nothing half done. The limits are the program's own
// (sim/command/sudden_end.cc): half a second, and 0.3 s for a result that is being written.
#include "sim/command/sudden_end.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <fstream>
#include <string>
#include <vector>

#include "sim/command/out_lock.h"
#include "tests/support/run_program.h"

namespace {

using support::ScratchFolder;
using ::testing::HasSubstr;

/// What a child does after it was asked to stop, without ever looking at what was asked.
int code_of_deaf_child(int number, const std::filesystem::path& out) {
  const pid_t child = fork();
  if (child == 0) {
    const sim::command::SuddenEnd sudden_end("sillion again");
    const sim::command::OutLock lock(out, "deaf");
    raise(number);
    for (;;) pause();
  }
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

TEST(SuddenEnd, EndsWhatNeverLooksAndTakesItsLockAway) {
  const ScratchFolder scratch;
  EXPECT_EQ(code_of_deaf_child(SIGINT, scratch.path() / "out"), 130);
  EXPECT_EQ(code_of_deaf_child(SIGTERM, scratch.path() / "out"), 143);
  EXPECT_TRUE(std::filesystem::is_empty(scratch.path()));
}

TEST(SuddenEnd, EveryLongCommandHeedsASignal) {
  const ScratchFolder scratch;
  const std::string here = scratch.path().string();
  std::ofstream(scratch.path() / "grid.toml")
      << "base = \"" SILLION_SOURCE_DIR
         "/scenarios/demo.toml\"\n[axes]\n"
         "\"travel.speed\" = {from = \"6 km/h\", to = \"16 km/h\", steps = 900}\n"
         "\"seeding.spacing\" = {from = \"100 mm\", to = \"250 mm\", steps = 900}\n";
  const std::vector<std::vector<std::string>> commands = {
      {"sweep", here + "/grid.toml"},
      {"sweep", here + "/grid.toml", "--dry-run"},
      {"delay", "short rake", "--scenario", "scenarios/demo.toml"},
      {"outlet", "short rake", "--scenario", "scenarios/demo.toml"},
      {"budget", "scenarios/demo.toml"},
      {"explain", "scenarios/demo.toml", "--row", "0", "--seed", "519"},
      {"valve", "scenarios/demo_valve.toml"},
      {"check", "scenarios/pull_request.toml"},
      {"compare", "scenarios/pull_request_row.toml", "--set", "duration=600 s"},
  };
  for (std::vector<std::string> words : commands) {
    SCOPED_TRACE(words.front());
    const bool writes = words.front() != "explain";
    if (writes) words.insert(words.end(), {"--out", here + "/out"});
    words.insert(words.begin(), support::sillion_path());
    support::Program program(words);
    if (program.ends_within(std::chrono::milliseconds(300))) continue;  // done before it was asked
    program.send(SIGTERM);
    ASSERT_TRUE(program.ends_within(std::chrono::seconds(20))) << "it does not heed the signal";
    const support::Ended ended = program.wait();
    EXPECT_EQ(ended.code, 143) << ended.err;
    EXPECT_THAT(ended.err, HasSubstr("Run it again with"));
    std::filesystem::remove_all(scratch.path() / "out");
  }
  // Nothing but the study stays: no lock, no half of a file.
  std::filesystem::remove(scratch.path() / "grid.toml");
  EXPECT_TRUE(std::filesystem::is_empty(scratch.path()));
}

}  // namespace
