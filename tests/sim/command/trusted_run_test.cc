// A controller that is trusted with this process and ends it does not make the command green.
#include "sim/command/trusted_run.h"

#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>
#include <unistd.h>

#include <string>

#include "tests/support/run_program.h"

namespace {

TEST(TrustedRun, ACommandThatEndsGivesItsCode) {
  for (const int code : {0, 1, 4, 130})
    EXPECT_EQ(sim::command::run_trusted([code] { return code; }), code);
}

TEST(TrustedRun, OneThatIsEndedIsAControllersFault) {
  EXPECT_EQ(sim::command::run_trusted([]() -> int { _exit(0); }), 4);
  EXPECT_EQ(sim::command::run_trusted([]() -> int { quick_exit(0); }), 4);
  EXPECT_EQ(sim::command::run_trusted([]() -> int {
              raise(SIGKILL);
              return 0;
            }),
            4);
}

support::Ended trusted(const std::string& name, const std::string& out) {
  return support::sillion({"run", "scenarios/pull_request_still.toml", "--quiet", "--trust",
                           "--set", "duration=3 s", "--set", "row.count=2", "--controller",
                           std::string(SILLION_BINARY_DIR) + "/tests/libhostile_" + name + ".so",
                           "--out", out});
}

TEST(TrustedRun, ExitZeroInAControllerIsNoGreen) {
  for (const char* name : {"exit_0", "exit_at_once", "exit_quick"}) {
    const support::ScratchFolder scratch;
    const support::Ended ended = trusted(name, (scratch.path() / "out").string());
    EXPECT_EQ(ended.code, 4) << name << ended.err;
    EXPECT_NE(ended.err.find("it ended sillion by exit code 0"), std::string::npos) << ended.err;
    EXPECT_FALSE(std::filesystem::exists(scratch.path() / "out" / "summary.json"));
  }
}

// The example is honest, and judged as without --trust.
TEST(TrustedRun, AnHonestControllerIsJudged) {
  const support::ScratchFolder scratch;
  const support::Ended ended = trusted("none", (scratch.path() / "out").string());
  EXPECT_EQ(ended.code, 1) << ended.err;
  EXPECT_TRUE(std::filesystem::exists(scratch.path() / "out" / "summary.json"));
}

}  // namespace
