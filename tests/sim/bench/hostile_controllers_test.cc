// The bench's own test: controllers that end, kill, hang, fork, scribble and lie
// (tests/support/hostile_controllers), each under `run` and in the middle of a `check`. Each is
// named with row, instant and call, the rest of the suite goes on, and nothing of the controller is
// left: no process, no file, no word in what a program reads.
#include <gtest/gtest.h>
#include <signal.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "tests/support/run_program.h"

namespace {

using support::Ended;
using support::text_of;

/// Which place the sentence on a fault has to name.
enum class Where {
  kCall,    // "row 1 at 0.051000 s, call 50 (tick): "
  kStart,   // before the first call of row 1
  kLoad,    // before any row: no case of a suite can run
  kNowhere  // it does no harm
};

struct Hostile {
  const char* name;
  const char* words;  // a regular expression over the sentence
  Where where = Where::kCall;
  int code = 4;
};
void PrintTo(const Hostile& hostile, std::ostream* out) { *out << hostile.name; }

// What a write over memory of the process leads to depends on what lies there; that the call is
// named does not.
constexpr char kSomeEnd[] =
    "(crashed|wrote outside its memory block|wrote over what it shares|returned |sent |uses |"
    "ended |gave up|asked the operating system|does not return|used up its stack)";
// Sentences of a kernel that refuses system calls, and of one that cannot.
constexpr char kSleeps[] =
    "(asked the operating system for a (sleep|wait|pipe) \\(|sleeps in a call)";

constexpr Hostile kHostile[] = {
    {"exit_0", "ended its process with exit code 0"},
    {"exit_3", "ended its process with exit code 3"},
    {"exit_at_once", "ended its process with exit code 0"},
    {"exit_quick", "ended its process with exit code 0"},
    {"gives_up", "gave up by abort"},
    {"becomes_true", "asked the operating system for another program \\(execve\\)"},
    {"ends_at_exit", "", Where::kNowhere, 1},
    {"jumps_nowhere", "(left the call by a jump|crashed)"},
    {"jumps_back", kSomeEnd},
    {"throws_a_number", "threw a C\\+\\+ exception \\(int\\)"},
    {"throws_an_error", "threw a C\\+\\+ exception \\(std::runtime_error: the hopper is empty\\)"},
    {"loops", "does not return: more than 1 s in one call"},
    {"loops_deaf", "does not return: more than 1 s in one call"},
    {"sleeps", kSleeps},
    {"naps", kSleeps},
    {"pauses", kSleeps},
    {"waits_for_a_byte", kSleeps},
    {"writes_to_null", "crashed \\(bad address\\)"},
    {"overruns_after", "wrote outside its memory block"},
    {"overruns_before", "wrote outside its memory block"},
    {"overruns_far", "wrote outside its memory block"},
    {"scribbles_on_input", kSomeEnd},
    {"scribbles_on_output", kSomeEnd},
    {"scribbles_on_stack", kSomeEnd},
    {"scribbles_on_heap", kSomeEnd},
    {"scribbles_on_libc", kSomeEnd},
    {"scribbles_on_all", kSomeEnd},
    {"scribbles_on_shared", kSomeEnd},
    {"recurses", "used up its stack"},
    {"divides_by_zero", "crashed \\(division by zero or the like\\)"},
    {"traps", "crashed \\(illegal instruction\\)"},
    {"takes_64_gigabytes", "asked the operating system for .*memory"},
    {"hoards",
     "(does not return: more than 1 s in one call|crashed \\(bad address\\)|asked the operating "
     "system for .*memory)"},
    {"wants_4_gigabytes", "asks for a memory block of 4294967295 bytes.*at most [0-9]+",
     Where::kLoad},
    {"rounds_up", "left the floating-point mode changed"},
    {"flushes_to_zero", "left the floating-point mode changed"},
    {"not_a_number", "invalid floating-point operation: a not-a-number came up"},
    {"returns_garbage", "returned counts beyond the interface's limits"},
    {"counts_too_far", "returned counts beyond the interface's limits"},
    {"uses_channel_200", "uses compare channel 200 of 2"},
    {"sets_bridge_77", "returned a bridge command that the interface does not have"},
    {"programs_page_999", "uses storage page 999 of 4"},
    {"gives_storage_command_9", "gave a storage command that the interface does not have \\(9\\)"},
    {"erases_what_it_lacks", "uses storage page 0 of 0"},
    {"erases_without_waiting", "", Where::kNowhere, 1},
    {"wants_a_million_pages", "declares storage_pages = 1000000; the interface allows 0 to 256",
     Where::kLoad},
    {"sends_255_bytes", "sent a frame of 255 bytes; the interface has at most 16"},
    {"raises_sigterm", "ended by signal SIGTERM that it raised"},
    {"raises_sigstop", "stopped itself by SIGSTOP"},
    {"ends_its_parent", "asked the operating system for a signal to another process \\(kill\\)"},
    {"kills_its_parent", "asked the operating system for a signal to another process \\(kill\\)"},
    {"kills_its_group", "asked the operating system for a signal to another process \\(kill\\)"},
    {"pokes_its_parent",
     "asked the operating system for another process's memory \\(process_vm_writev\\)"},
    {"forks", "asked the operating system for a new process"},
    {"starts_a_thread",
     "asked the operating system for (a new process or thread|what no firmware has)"},
    {"changes_folder", "asked the operating system for another working folder \\(chdir\\)"},
    {"closes_all", "asked the operating system for a descriptor to be closed \\(close\\)"},
    {"writes_a_file", "asked the operating system for a file \\(open"},
    {"removes_a_file", "asked the operating system for a file to be removed \\(unlink"},
    {"opens_a_socket", "asked the operating system for a socket \\(socket\\)"},
    {"prints", "", Where::kNowhere, 1},
    {"prints_on_and_on", "", Where::kNowhere, 1},
    {"load_crashes", "crashed \\(bad address\\) while it was loaded", Where::kLoad},
    {"load_gives_up", "gave up by abort while it was loaded", Where::kLoad},
    {"load_exits", "ended its process with exit code 0 while it was loaded", Where::kLoad},
    {"load_loops", "does not return.* while it was loaded", Where::kLoad},
    {"describes_nothing", "does not offer the role of a machine controller", Where::kLoad},
    {"describe_crashes", "crashed \\(bad address\\) while it described itself", Where::kLoad},
    {"describes_elsewhere", "crashed \\(bad address\\) while it described itself", Where::kLoad},
    {"init_refuses", "refused to start", Where::kStart},
    {"init_crashes", "crashed \\(bad address\\) while it started", Where::kStart},
    {"init_keeps_its_own", "keeps its state outside the memory block", Where::kStart},
    {"init_points_nowhere", "keeps its state outside the memory block", Where::kStart},
};

constexpr char kMark[] = "SILLION_HOSTILE_TEST";
/// Far longer than any of them takes (2 s): the test measures no time, it only has to end.
constexpr std::chrono::seconds kPatience{40};

std::string library_of(const std::string& name) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libhostile_" + name + ".so";
}

/// Processes that carry this mark in their environment.
std::set<std::string> marked(const std::string& mark) {
  std::set<std::string> found;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::directory_iterator("/proc", ignored)) {
    const std::string name = entry.path().filename().string();
    if (name.find_first_not_of("0123456789") != std::string::npos) continue;
    if (text_of(entry.path() / "environ").find(std::string(kMark) + "=" + mark) !=
        std::string::npos)
      found.insert(name + " " + text_of(entry.path() / "comm"));
  }
  return found;
}

/// Waits until no process carries the mark, for at most 5 s.
bool all_gone(const std::string& mark) {
  for (int looks = 0; looks < 500; ++looks) {
    if (marked(mark).empty()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return false;
}

/// What lies under a folder, by path.
std::set<std::string> files_of(const std::filesystem::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder))
    if (entry.is_regular_file())
      names.insert(std::filesystem::relative(entry.path(), folder).string());
  return names;
}

class HostileController : public testing::TestWithParam<Hostile> {
 protected:
  void SetUp() override {
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
    GTEST_SKIP() << "a sanitizer keeps the memory and the signals that are tried here";
#endif
    std::filesystem::create_directories(work_);
    std::ofstream(work_ / "keep.txt") << "kept\n";
    ASSERT_TRUE(std::filesystem::exists(library_of(GetParam().name)));
  }

  /// Runs in a folder of its own and below a shell, so that a controller that kills its parent does
  /// not kill this test.
  Ended sillion(std::vector<std::string> arguments) {
    std::vector<std::string> command = {"sh", "-c", "\"$@\"; code=$?; exit $code", "sh",
                                        support::sillion_path()};
    command.insert(command.end(), arguments.begin(), arguments.end());
    const std::string mark =
        std::string(GetParam().name) + "_" + std::to_string(getpid()) + "_" + arguments[0];
    support::Program program(command, {{kMark, mark}}, work_);
    EXPECT_TRUE(program.ends_within(kPatience)) << "still runs: " << GetParam().name;
    if (program.running()) return {};
    const Ended ended = program.wait();
    all_gone(mark);
    for (const std::string& left : marked(mark)) {
      ADD_FAILURE() << GetParam().name << " left a process behind: " << left;
      kill(std::stoi(left), SIGKILL);
    }
    EXPECT_EQ(text_of(work_ / "keep.txt"), "kept\n");
    EXPECT_FALSE(std::filesystem::exists(scratch_.path() / "nothing"));
    return ended;
  }

  std::regex sentence() const {
    const std::string words = GetParam().words;
    switch (GetParam().where) {
      case Where::kCall: return std::regex("row 1 at 0\\.051000 s, call 50 \\(tick\\): " + words);
      case Where::kStart: return std::regex("row 1[^\\n]*" + words);
      default: return std::regex(words);
    }
  }

  const support::ScratchFolder scratch_;
  const std::filesystem::path work_ = scratch_.path() / "work";
};

const std::vector<std::string> kShort = {"--set",       "duration=2 s", "--set",
                                         "row.count=2", "--set",        "clock.drift=0 ppm"};

TEST_P(HostileController, RunNamesItAndLeavesNothing) {
  const Hostile& hostile = GetParam();
  std::vector<std::string> arguments = {
      "run", std::string(SILLION_SOURCE_DIR) + "/scenarios/pull_request_still.toml", "--json"};
  arguments.insert(arguments.end(), kShort.begin(), kShort.end());
  for (const std::string& word :
       {std::string("--quiet"), std::string("--controller"), library_of(hostile.name),
        std::string("--out"), std::string("out")})
    arguments.push_back(word);
  const Ended ran = sillion(arguments);
  EXPECT_EQ(ran.code, hostile.code) << ran.err;
  EXPECT_TRUE(ran.out.empty() || nlohmann::json::accept(ran.out)) << ran.out;
  if (hostile.where == Where::kNowhere) {
    EXPECT_EQ(files_of(work_),
              (std::set<std::string>{"keep.txt", "out/applied.csv", "out/report.html",
                                     "out/seeds.csv", "out/summary.json"}));
    EXPECT_EQ(nlohmann::json::parse(ran.out)["verdict"], "fail");
    if (hostile.name == std::string("prints")) {
      for (const char* line : {"controller: {\"verdict\": \"hold\", \"by\": \"printf\"}\n",
                               "controller: {\"verdict\": \"hold\", \"by\": \"write\"}\n",
                               "controller: a word on standard error\n"})
        EXPECT_NE(ran.err.find(line), std::string::npos) << line << ran.err;
    }
    EXPECT_LT(ran.err.size(), 100'000u);  // of 2 MB that one of them prints
    return;
  }
  EXPECT_TRUE(std::regex_search(ran.err, sentence())) << ran.err;
  EXPECT_EQ(ran.out.find("\"verdict\""), std::string::npos) << ran.out;
  EXPECT_EQ(files_of(work_), std::set<std::string>{"keep.txt"});
}

/// Three cases, of which the middle one alone has a row 1.
std::string suite_text() {
  std::string text = "title = \"Among others\"\nbaseline = \"none.baseline.tsv\"\n";
  for (const auto& [name, rows] : {std::pair{"before", 1}, {"hostile", 2}, {"after", 1}})
    text += std::string("[[family]]\nname = \"") + name + "\"\nbase = \"" + SILLION_SOURCE_DIR +
            "/scenarios/pull_request_still.toml\"\nset.duration = \"2 s\"\n" +
            "set.\"clock.drift\" = \"0 ppm\"\nset.\"row.count\" = " + std::to_string(rows) +
            "\nset.require = []\n" +
            "[[family.require]]\nmetric = \"secondary_ratio\"\nat_most = \"3 %\"\n";
  return text;
}

/// The cases of a family, with plain quotes.
std::string cases_of(const std::string& junit, const std::string& family) {
  const std::size_t suite = junit.find("<testsuite name=\"" + family + "\"");
  const std::size_t end = junit.find("</testsuite>", suite);
  if (suite == std::string::npos || end == std::string::npos) return "";
  return std::regex_replace(junit.substr(suite, end - suite), std::regex("&#39;"), "'");
}

TEST_P(HostileController, TheRestOfASuiteGoesOn) {
  const Hostile& hostile = GetParam();
  std::ofstream(scratch_.path() / "suite.toml") << suite_text();
  const Ended checked =
      sillion({"check", (scratch_.path() / "suite.toml").string(), "--json", "--quiet",
               "--controller", library_of(hostile.name), "--out", "out"});
  EXPECT_EQ(checked.code, hostile.where == Where::kNowhere ? 0 : hostile.code) << checked.err;
  EXPECT_TRUE(nlohmann::json::accept(checked.out)) << checked.out;
  const std::string junit = text_of(work_ / "out" / "junit.xml");
  ASSERT_NE(junit.find("</testsuites>"), std::string::npos) << junit << checked.err;
  for (const char* family : {"before", "hostile", "after"}) {
    const std::string element = cases_of(junit, family);
    EXPECT_NE(element.find("<testcase"), std::string::npos) << family << "\n" << junit;
    const bool harmed = hostile.where == Where::kLoad ||
                        (hostile.where != Where::kNowhere && family == std::string("hostile"));
    EXPECT_EQ(element.find("<error type=\"controller fault\"") != std::string::npos, harmed)
        << element;
    EXPECT_EQ(element.find("<failure"), std::string::npos) << element;
    if (harmed) {
      EXPECT_TRUE(std::regex_search(element, sentence())) << element;
    }
  }
}

// However the bench itself ends, its workers end with it.
TEST(HostileControllerBench, ThatIsEndedLeavesNoProcess) {
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "a sanitizer keeps the memory and the signals that are tried here";
#endif
  for (const int ends_by : {SIGTERM, SIGKILL}) {
    const support::ScratchFolder scratch;
    const std::string mark = "bench_" + std::to_string(getpid()) + "_" + std::to_string(ends_by);
    support::Program bench({support::sillion_path(), "run", "scenarios/pull_request_still.toml",
                            "--quiet", "--set", "duration=1000 s", "--controller",
                            library_of("none"), "--out", (scratch.path() / "out").string()},
                           {{kMark, mark}});
    // The bench, the parent of the workers, the worker of the pass.
    for (int looks = 0; looks < 2000 && marked(mark).size() < 3 && bench.running(); ++looks)
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    EXPECT_GE(marked(mark).size(), 3u);
    bench.send(ends_by);
    ASSERT_TRUE(bench.ends_within(kPatience));
    EXPECT_EQ(bench.wait().code, 128 + ends_by);
    EXPECT_TRUE(all_gone(mark)) << testing::PrintToString(marked(mark));
    EXPECT_FALSE(std::filesystem::exists(scratch.path() / "out"));
  }
}

std::string name_of(const testing::TestParamInfo<Hostile>& info) { return info.param.name; }
INSTANTIATE_TEST_SUITE_P(Bench, HostileController, testing::ValuesIn(kHostile), name_of);

}  // namespace
