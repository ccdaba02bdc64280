// The bench's own test: ten mistakes in the reference controller, made by
// tests/support/faulty_controllers.cmake, are each red in `check`, and the command that the JUnit
// file carries shows the cause in words and in the waveform. The reference itself is green.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <regex>

#include "tests/support/run_program.h"
#include "tests/support/small_suite.h"

namespace {

using support::Ended;
using support::text_of;

enum class Cause { kMisplaced, kMissing, kFault };

struct Mistake {
  const char* name;
  int code;
  Cause cause;
  const char* junit;    // in its failure or error
  const char* explain;  // in the words of the command that it carries
};

// The family "still" has no noise, so a shift of half a millisecond or one lost seed shows clearly.
constexpr Mistake kMistakes[] = {
    {"late", 1, Cause::kMisplaced, "placement_error_mean at most", "placement error \\+"},
    {"swapped", 1, Cause::kMisplaced, "wrong seed", "placement error"},
    {"deaf", 1, Cause::kMissing, "no_band at most", "an edge is raised[^]*no band belongs to it"},
    {"slipped", 1, Cause::kMisplaced, "wrong seed", "an edge is raised"},
    {"wrapped", 1, Cause::kMissing, "no_band at most", "an open command is due"},
    {"no_lag", 1, Cause::kMisplaced, "dose_within_10_percent_sensed", "close command"},
    {"wrong_sign", 1, Cause::kMisplaced, "placement_error_abs_p95", "placement error [+-]"},
    {"forgetful", 1, Cause::kMissing, "no_band at most", "no band belongs to it"},
    {"no_number", 4, Cause::kFault, "a not-a-number came up",
     "\\[4\\] controller fault.*not-a-number"},
    {"silent", 4, Cause::kFault, "does not return", "\\[4\\] controller fault.*does not return"},
};

std::string unescaped(std::string text) {
  for (const auto& [from, to] :
       {std::pair{"&quot;", "\""}, {"&#39;", "'"}, {"&lt;", "<"}, {"&gt;", ">"}, {"&amp;", "&"}})
    for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos;)
      text.replace(at, std::string(from).size(), to);
  return text;
}

/// The first explain command that stands with a red test case.
std::string explain_of(const std::string& junit) {
  const std::size_t red = std::min(junit.find("<failure"), junit.find("<error"));
  const std::string name = "name=\"explain\" value=\"";
  const std::size_t at = junit.rfind(name, red);
  if (red == std::string::npos || at == std::string::npos) return "";
  const std::size_t from = at + name.size();
  return unescaped(junit.substr(from, junit.find('"', from) - from));
}

struct Row {
  double time_s;
  bool covered, drive;
  int seed;
};

std::vector<Row> wave_of(const std::filesystem::path& csv) {
  std::ifstream in(csv);
  std::string line;
  std::vector<std::string> names;
  std::vector<Row> rows;
  const auto cells = [](const std::string& text) {
    std::vector<std::string> parts(1);
    for (const char c : text)
      if (c == ',')
        parts.emplace_back();
      else
        parts.back() += c;
    return parts;
  };
  std::getline(in, line);
  names = cells(line);
  while (std::getline(in, line)) {
    const std::vector<std::string> values = cells(line);
    const auto value = [&](const char* name) {
      for (std::size_t k = 0; k < names.size(); ++k)
        if (names[k] == name) return std::stod(values[k]);
      ADD_FAILURE() << name;
      return 0.0;
    };
    rows.push_back({value("time_s"), value("covered") > 0.0, value("drive") > 0.0,
                    static_cast<int>(value("seed_number"))});
  }
  return rows;
}

/// Instants at which the bridge begins or ends to drive.
std::vector<double> commands_of(const std::vector<Row>& wave) {
  std::vector<double> at_s;
  for (std::size_t k = 1; k < wave.size(); ++k)
    if (wave[k].drive != wave[k - 1].drive) at_s.push_back(wave[k].time_s);
  return at_s;
}

/// What explain says of the controller's commands.
std::string controller_line(const std::string& text) {
  const std::size_t at = text.find("[4] controller ");
  return at == std::string::npos ? "" : text.substr(at, text.find('\n', at) - at);
}

/// Runs a printed explain command as pasted into a shell in `folder`.
Ended explained_in(const std::filesystem::path& folder, const std::string& command) {
  return support::run_program({"sh", "-c",
                               "cd '" + folder.string() + "' && '" + support::sillion_path() + "'" +
                                   command.substr(std::string("sillion").size())});
}

class FaultyController : public testing::TestWithParam<Mistake> {};

TEST_P(FaultyController, TurnsRedAndShowsItsCause) {
  const Mistake& mistake = GetParam();
#if defined(__SANITIZE_THREAD__)
  if (std::string(mistake.name) == "silent")
    GTEST_SKIP() << "see tests/sim/bench/guarded_call_test.cc";
#endif
  const support::ScratchFolder scratch;
  const std::string library =
      std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + mistake.name + ".so";
  ASSERT_TRUE(std::filesystem::exists(library))
      << "the text of this mistake no longer stands once in controller/: move it along in "
         "tests/support/faulty_controllers.cmake";
  const auto suite = support::write_small_suite(scratch.path());
  std::vector<std::string> words = {"check",
                                    suite.string(),
                                    "--quiet",
                                    "--controller",
                                    library,
                                    "--out",
                                    (scratch.path() / "out").string()};
  // What only lays bands badly may run in the program's process: the same bytes in half the time.
  if (mistake.code == 1) words.push_back("--trust");
  const Ended checked = support::sillion(words);
  EXPECT_EQ(checked.code, mistake.code) << checked.out << checked.err;
  EXPECT_NE(checked.err.find("error: "), std::string::npos) << checked.err;
  const std::string junit = text_of(scratch.path() / "out" / "junit.xml");
  EXPECT_NE(junit.find(mistake.code == 4 ? "<error type=\"controller fault\"" : "<failure"),
            std::string::npos);
  EXPECT_NE(junit.find(mistake.junit), std::string::npos) << junit;

  const std::string command = explain_of(junit);
  ASSERT_TRUE(command.starts_with("sillion explain ")) << junit;
  const Ended explained = explained_in(scratch.path(), command);
  EXPECT_EQ(explained.code, mistake.code == 4 ? 4 : 0) << command << "\n" << explained.err;
  EXPECT_TRUE(std::regex_search(explained.out, std::regex(mistake.explain))) << explained.out;

  const int seed = std::stoi(command.substr(command.find("--seed ") + 7));
  const std::string vcd = text_of(scratch.path() / "seed.vcd");
  ASSERT_NE(vcd.find("$enddefinitions"), std::string::npos);
  const std::vector<Row> wave = wave_of(scratch.path() / "seed.csv");
  if (mistake.cause == Cause::kFault) {
    EXPECT_NE(vcd.find("controller fault"), std::string::npos);
    return;
  }
  // The reference over the same seed: what the mistake changes must be seen beside it.
  const std::string without =
      command.substr(0, command.find(" --controller ")) + " --wave right.vcd";
  const Ended right = explained_in(scratch.path(), without);
  EXPECT_EQ(right.code, 0) << right.err;
  const std::vector<Row> right_wave = wave_of(scratch.path() / "right.csv");
  const auto own = [&](const Row& row) { return row.seed == seed; };
  EXPECT_TRUE(std::any_of(wave.begin(), wave.end(), [](const Row& row) { return row.covered; }));
  if (mistake.cause == Cause::kMissing) {  // the sensor saw it, and no liquid is its own
    EXPECT_EQ(right.out.find("no band belongs to it"), std::string::npos) << right.out;
    EXPECT_FALSE(std::any_of(wave.begin(), wave.end(), own));
  }
  EXPECT_NE(commands_of(wave), commands_of(right_wave));
  EXPECT_NE(controller_line(explained.out), controller_line(right.out));
}

std::string name_of(const testing::TestParamInfo<Mistake>& info) { return info.param.name; }
INSTANTIATE_TEST_SUITE_P(Bench, FaultyController, testing::ValuesIn(kMistakes), name_of);

TEST(FaultyController, TheReferenceIsGreen) {
  const support::ScratchFolder scratch;
  const auto suite = support::write_small_suite(scratch.path());
  const Ended checked = support::sillion(
      {"check", suite.string(), "--quiet", "--out", (scratch.path() / "out").string()});
  EXPECT_EQ(checked.code, 0) << checked.err;
  EXPECT_NE(checked.out.find("4 scenarios hold"), std::string::npos) << checked.out;
}

// `run` leaves no result of a controller that failed, and says how to see what it did.
TEST(FaultyController, ARunOfOneThatHangsNamesTheSeedAndShowsItsWaveform) {
#if defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "see tests/sim/bench/guarded_call_test.cc";
#endif
  const support::ScratchFolder scratch;
  const Ended ran = support::sillion(
      {"run", "scenarios/pull_request_still.toml", "--quiet", "--set", "duration=7 s", "--set",
       "row.count=1", "--controller",
       std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_silent.so", "--out",
       (scratch.path() / "out").string(), "--wave", (scratch.path() / "seed.vcd").string()});
  EXPECT_EQ(ran.code, 4);
  EXPECT_NE(ran.err.find("does not return"), std::string::npos) << ran.err;
  EXPECT_NE(ran.err.find("sillion explain scenarios/pull_request_still.toml "), std::string::npos)
      << ran.err;
  EXPECT_NE(ran.err.find(" --row 0 --seed "), std::string::npos) << ran.err;
  EXPECT_FALSE(std::filesystem::exists(scratch.path() / "out"));
  EXPECT_NE(text_of(scratch.path() / "seed.vcd").find("controller fault"), std::string::npos);
}

// The smallest controller of the manual lays bands, though not well.
TEST(FaultyController, TheExampleInCRunsAndIsJudged) {
  const support::ScratchFolder scratch;
  const Ended ran =
      support::sillion({"run", "scenarios/pull_request_still.toml", "--quiet", "--set",
                        "duration=6 s", "--set", "row.count=1", "--controller",
                        std::string(SILLION_BINARY_DIR) + "/tests/libexample_controller.so",
                        "--out", scratch.path().string()});
  EXPECT_EQ(ran.code, 1) << ran.err;
  EXPECT_NE(ran.out.find("requirements are violated"), std::string::npos) << ran.out;
  EXPECT_NE(text_of(scratch.path() / "seeds.csv").find(",banded"), std::string::npos);
}

}  // namespace
