// Two commands on one folder of results: the second is refused, and learns whose work it would
// spoil.
#include "sim/command/out_lock.h"

#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <memory>

#include "sim/study/run/tables.h"
#include "tests/support/run_program.h"

namespace sim::command {
namespace {

namespace fs = std::filesystem;
using support::Ended;
using support::Program;

/// A process that holds the lock of a folder until it is told to end. A process is not stopped by
/// its own locks, so the holder is another one.
class Holder {
 public:
  explicit Holder(const fs::path& out) {
    int ready[2];
    if (pipe(ready) != 0) return;
    child_ = fork();
    if (child_ == 0) {
      const OutLock lock(out, "sillion check one.toml");
      const bool told = write(ready[1], "x", 1) == 1;
      while (told) pause();
      _exit(1);
    }
    char byte = 0;
    close(ready[1]);
    held_ = read(ready[0], &byte, 1) == 1;
    close(ready[0]);
  }
  ~Holder() { end(); }
  void end() {
    if (child_ <= 0) return;
    kill(child_, SIGKILL);
    waitpid(child_, nullptr, 0);
    child_ = -1;
  }
  bool held() const { return held_; }
  pid_t process() const { return child_; }

 private:
  pid_t child_ = -1;
  bool held_ = false;
};

std::string refusal(const fs::path& out) {
  try {
    const OutLock lock(out, "sillion run two.toml");
  } catch (const output::OutputError& error) {
    return error.what();
  }
  return "";
}

TEST(OutLock, TheSecondIsRefusedByWhateverNameItCallsTheFolder) {
  const support::ScratchFolder scratch;
  fs::create_directories(scratch.path() / "real");
  fs::create_directory_symlink(scratch.path() / "real", scratch.path() / "link");
  Holder holder(scratch.path() / "real" / "out");
  ASSERT_TRUE(holder.held());
  for (const char* name : {"real/out", "real/out/", "real/./out", "link/out", "link/../real/out"}) {
    const std::string said = refusal(scratch.path() / name);
    EXPECT_NE(said.find("process " + std::to_string(holder.process()) +
                        " (sillion check one.toml) is at work there"),
              std::string::npos)
        << name << ": " << said;
  }
  EXPECT_EQ(refusal(scratch.path() / "real" / "other"), "");
}

TEST(OutLock, WhatAKilledProcessLeftBlocksNobody) {
  const support::ScratchFolder scratch;
  const fs::path out = scratch.path() / "deep" / "out";
  Holder holder(out);
  ASSERT_TRUE(holder.held());
  ASSERT_NE(refusal(out), "");
  holder.end();
  EXPECT_TRUE(fs::exists(scratch.path() / "deep" / ".out.lock"));  // the killed holder left it
  EXPECT_EQ(refusal(out), "");
  EXPECT_FALSE(fs::exists(scratch.path() / "deep" / ".out.lock"));
}

TEST(OutLock, LeavesNothingBehindAndRefusesAFileInTheWay) {
  const support::ScratchFolder scratch;
  EXPECT_EQ(refusal(scratch.path() / "a" / "b" / "out"), "");
  EXPECT_TRUE(fs::is_empty(scratch.path()));
  std::ofstream(scratch.path() / "file") << "in the way";
  EXPECT_NE(refusal(scratch.path() / "file").find("a file of that name is in the way"),
            std::string::npos);
  EXPECT_NE(refusal(scratch.path() / "file" / "out").find("cannot write"), std::string::npos);
  // The kernel says "no such file" of a file that it makes nowhere below /proc.
  EXPECT_NE(refusal("/proc/out").find("/proc/out: cannot write"), std::string::npos);
}

// A command may open the lock's file before the first holder deletes it. Nobody else can see that
// file, so a lock on it must not count.
TEST(OutLock, ManyAtOnceAreNeverTwo) {
  const support::ScratchFolder scratch;
  const fs::path out = scratch.path() / "out";
  const fs::path inside = scratch.path() / "inside";
  std::vector<pid_t> children;
  for (int k = 0; k < 6; ++k) {
    const pid_t child = fork();
    if (child == 0) {
      int bad = 0;
      for (int turn = 0; turn < 300; ++turn) try {
          const OutLock lock(out, "sillion run x");
          // only one can make the folder while it holds the lock
          std::error_code error;
          bad += fs::create_directory(inside, error) ? 0 : 1;
          fs::remove(inside, error);
        } catch (const output::OutputError&) {
          usleep(50);
        }
      _exit(bad == 0 ? 0 : 1);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  }
}

struct Writer {
  const char* name;
  std::vector<std::string> words;
};

void PrintTo(const Writer& writer, std::ostream* os) { *os << writer.name; }

class OutLockOf : public testing::TestWithParam<Writer> {};

/// Every command that writes into --out asks for the lock before it runs anything.
TEST_P(OutLockOf, IsRefusedAtOnceWithExitTwo) {
  const support::ScratchFolder scratch;
  const fs::path out = scratch.path() / "out";
  Holder holder(out);
  ASSERT_TRUE(holder.held());
  std::vector<std::string> words = {support::sillion_path()};
  words.insert(words.end(), GetParam().words.begin(), GetParam().words.end());
  words.insert(words.end(), {"--out", out.string()});
  Program program(words, {{"CI", ""}});
  ASSERT_TRUE(program.ends_within(std::chrono::seconds(20)));
  const Ended ended = program.wait();
  EXPECT_EQ(ended.code, 2) << ended.err;
  EXPECT_NE(ended.err.find("process " + std::to_string(holder.process())), std::string::npos)
      << ended.err;
  EXPECT_EQ(ended.out, "");
  EXPECT_FALSE(fs::exists(out));
}

INSTANTIATE_TEST_SUITE_P(
    Commands, OutLockOf,
    testing::Values(
        Writer{"run", {"run", "scenarios/demo.toml"}},
        Writer{"sweep", {"sweep", "scenarios/demo_sweep.toml"}},
        Writer{"check", {"check", "scenarios/pull_request.toml"}},
        Writer{"accept",
               {"accept", "scenarios/pull_request.toml", "--only", "*", "--reason", "words"}},
        Writer{"compare", {"compare", "scenarios/pull_request_row.toml"}},
        Writer{"budget", {"budget", "scenarios/demo.toml"}},
        Writer{"rate", {"rate", "scenarios/demo_plan.toml"}},
        Writer{"delay", {"delay", "short rake", "--scenario", "scenarios/demo.toml"}},
        Writer{"strip_test",
               {"delay", "short rake", "--scenario", "scenarios/demo.toml", "--strip-test"}},
        Writer{"outlet", {"outlet", "short rake", "--scenario", "scenarios/demo.toml"}},
        Writer{"rig", {"rig", "scenarios/demo_rig.toml"}},
        Writer{"valve", {"valve", "scenarios/demo_valve.toml"}}),
    [](const auto& given) { return std::string(given.param.name); });

}  // namespace
}  // namespace sim::command
