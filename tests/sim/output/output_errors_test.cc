// No command exits 0 unless all that it promises is written: what it prints, and its files.
#include <gtest/gtest.h>

#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace {

using support::Ended;
namespace fs = std::filesystem;

const std::string kShort =
    "scenarios/pull_request_still.toml --set duration='2 s' --set row.count=1";
/// A rig whose pulses come to rest, which an invented trace needs.
const std::string kTrace = "scenarios/demo_valve.toml --set 'drive.period=50 ms'";

/// The program's arguments in a shell, so that its streams can be turned elsewhere.
Ended in_shell(const std::string& arguments) {
  return support::run_program({"sh", "-c", "'" + support::sillion_path() + "' " + arguments});
}

struct Printing {
  const char* name;
  std::string arguments;
};

void PrintTo(const Printing& printing, std::ostream* os) { *os << printing.name; }

class FullStream : public testing::TestWithParam<Printing> {};

TEST_P(FullStream, IsExitTwoAndSaysSo) {
  const support::ScratchFolder scratch;
  std::string arguments = GetParam().arguments;
  const std::size_t at = arguments.find("OUT");
  if (at != std::string::npos) arguments.replace(at, 3, (scratch.path() / "out").string());
  const Ended good = in_shell(arguments);
  ASSERT_LE(good.code, 1) << good.err;  // either verdict
  ASSERT_FALSE(good.out.empty());
  for (const char* stream : {">/dev/full", ">&-"}) {
    const Ended ended = in_shell(arguments + " " + stream);
    EXPECT_EQ(ended.code, 2) << stream;
    EXPECT_NE(ended.err.find("standard output: cannot write"), std::string::npos)
        << stream << ": " << ended.err;
  }
}

INSTANTIATE_TEST_SUITE_P(
    Commands, FullStream,
    testing::Values(Printing{"run", "run " + kShort + " --out OUT"},
                    Printing{"run_json", "run " + kShort + " --json --out OUT"},
                    Printing{"explain", "explain " + kShort + " --row 0 --seed 3"},
                    Printing{"explain_json", "explain " + kShort + " --row 0 --seed 3 --json"},
                    Printing{"list", "list keys"}, Printing{"list_json", "list units --json"},
                    Printing{"rate", "rate scenarios/demo_plan.toml --out OUT"},
                    Printing{"rig_json", "rig scenarios/demo_rig.toml --json --out OUT"},
                    Printing{"dry_run", "run " + kShort + " --dry-run"}, Printing{"help", "--help"},
                    Printing{"help_of_run", "run --help"}),
    [](const auto& given) { return std::string(given.param.name); });

// The reader of a pipe that goes away is no success either.
TEST(OutputErrors, APipeThatIsClosedIsExitTwo) {
  const Ended ended = support::run_program(
      {"bash", "-c", "'" + support::sillion_path() + "' list keys | true; exit ${PIPESTATUS[0]}"});
  // `true` may end before or after the text is written into the pipe's buffer
  EXPECT_TRUE(ended.code == 0 || ended.code == 2) << ended.code;
  const Ended never = support::run_program(
      {"bash", "-c",
       "(sleep 0.2; '" + support::sillion_path() + "' list keys; echo $? >&2) | true"});
  EXPECT_NE(never.err.find("\n2\n"), std::string::npos) << never.err;
}

// A stream that is closed must not be taken by the first file that is opened.
TEST(OutputErrors, AClosedStreamDoesNotWriteIntoAResult) {
  const support::ScratchFolder scratch;
  const std::string out = (scratch.path() / "out").string();
  EXPECT_EQ(in_shell("run " + kShort + " --json --out " + out + " >&- 2>&-").code, 2);
  const std::string summary = support::text_of(scratch.path() / "out" / "summary.json");
  EXPECT_EQ(summary.find("{"), 0u);
  // so short a run misses a requirement, which is a verdict all the same
  EXPECT_LE(in_shell("run " + kShort + " --out " + out + " >/dev/null").code, 1);
  EXPECT_EQ(support::text_of(scratch.path() / "out" / "summary.json"), summary);
}

TEST(OutputErrors, AFileThatCannotBeWrittenIsNamed) {
  const support::ScratchFolder scratch;
  std::ofstream(scratch.path() / "file") << "in the way";
  const std::string file = (scratch.path() / "file").string();
  const std::string out = " --out " + (scratch.path() / "out").string();
  for (const std::string& words :
       {"run " + kShort + " --out " + file, "run " + kShort + " --out " + file + "/below",
        "run " + kShort + out + " --furrow " + file + "/furrow.svg",
        "run " + kShort + out + " --furrow /dev/full",
        "run " + kShort + out + " --wave " + file + "/wave.vcd",
        "explain " + kShort + " --row 0 --seed 3 --wave " + file + "/wave.vcd",
        "rig " + kTrace + " --trace " + file + "/trace.csv",
        "rig " + kTrace + " --trace /dev/full"}) {
    const Ended ended = in_shell(words);
    EXPECT_EQ(ended.code, 2) << words;
    EXPECT_NE(ended.err.find("cannot write"), std::string::npos) << words << ": " << ended.err;
  }
  EXPECT_EQ(support::text_of(scratch.path() / "file"), "in the way");
}

// A full disk, in a mount namespace of its own; skipped where no namespace may be made.
TEST(OutputErrors, AFullDiskIsExitTwoAndLeavesNothingHalf) {
  const support::ScratchFolder scratch;
  const std::string at = scratch.path().string();
  const auto mounted = [&](const std::string& size, const std::string& words) {
    return support::run_program({"unshare", "-m", "sh", "-c",
                                 "mount -t tmpfs -o size=" + size + " none '" + at +
                                     "' || exit 99; '" + support::sillion_path() + "' " + words +
                                     "; code=$?; ls -AR '" + at + "' >&2; exit $code"});
  };
  const std::string run = "run " + kShort + " --out " + at + "/out";
  const int roomy = mounted("8m", run).code;
  if (roomy > 1)
    GTEST_SKIP() << "no tmpfs may be mounted here";  // 1: so short a run misses a limit
  const Ended ended = mounted("16k", run);
  EXPECT_EQ(ended.code, 2) << ended.err;
  EXPECT_NE(ended.err.find("No space left on device"), std::string::npos) << ended.err;
  EXPECT_EQ(ended.err.find("summary.json\n"), std::string::npos) << ended.err;
  // The ledger and the results do not fit: the disk is full as passes end, or at the latest with
  // the report.
  const support::ScratchFolder elsewhere;
  const std::string study = support::write_small_study(elsewhere.path()).string();
  for (const char* size : {"8k", "16k", "32k"}) {
    const Ended sweep = mounted(size, "sweep " + study + " --quiet --out " + at + "/out");
    EXPECT_EQ(sweep.code, 2) << size << sweep.err;
    EXPECT_NE(sweep.err.find("cannot write"), std::string::npos) << size << sweep.err;
    EXPECT_EQ(sweep.err.find("summary.json\n"), std::string::npos) << size << sweep.err;
  }
}

}  // namespace
