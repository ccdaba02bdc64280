// Compares the time that --dry-run states with the time that a run then takes. It measures the
// machine, so it runs under the label slow.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <fstream>
#include <string>
#include <vector>

#include "tests/support/run_program.h"
#include "tests/support/small_suite.h"

namespace sim::command {
namespace {

double children_s() {
  rusage used{};
  getrusage(RUSAGE_CHILDREN, &used);
  return static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
         1e-6 * static_cast<double>(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

double told_s(const std::string& text) {
  const std::size_t at = text.find(" of processor time");
  const std::size_t from = text.rfind("about ", at);
  EXPECT_NE(at, std::string::npos) << text;
  return at == std::string::npos ? 0.0 : std::stod(text.substr(from + 6));
}

/// Rows with valve and column.
std::filesystem::path write_full_study(const std::filesystem::path& folder) {
  const std::filesystem::path file = folder / "full.toml";
  std::ofstream(file, std::ios::binary)
      << "base = \"" << SILLION_SOURCE_DIR << "/scenarios/demo.toml\"\nreplicas = 2\n[set]\n"
      << "seeds = 40\nrow.count = 2\n[axes]\n\"travel.speed\" = [\"8 km/h\", \"16 km/h\"]\n";
  return file;
}

struct Work {
  const char* name;
  std::vector<std::string> words;
};

void PrintTo(const Work& work, std::ostream* os) { *os << work.name; }

class ToldTime : public testing::TestWithParam<Work> {};

/// The factor should be within 1.5 on an idle machine. On a busy one processor time stretches with
/// the core's other work, which can differ between measurement and run, so 2.5 is allowed here.
TEST_P(ToldTime, IsWhatTheRunThenTakes) {
  const support::ScratchFolder scratch;
  std::vector<std::string> words = GetParam().words;
  if (words[0] == "check") words[1] = support::write_small_suite(scratch.path()).string();
  if (words[0] == "sweep") words[1] = write_full_study(scratch.path()).string();
  words.insert(words.end(), {"--out", (scratch.path() / "out").string(), "--quiet"});
  std::vector<std::string> dry = words;
  dry.emplace_back("--dry-run");
  const support::Ended told = support::sillion(dry, {{"CI", ""}});
  ASSERT_EQ(told.code, 0) << told.err;
  EXPECT_NE(told.out.find(" core"), std::string::npos) << told.out;
  const double before_s = children_s();
  const support::Ended ran = support::sillion(words, {{"CI", ""}});
  EXPECT_LE(ran.code, 1) << ran.err;
  const double spent_s = children_s() - before_s;
  EXPECT_GT(told_s(told.out), spent_s / 2.5) << told.out << spent_s;
  EXPECT_LT(told_s(told.out), spent_s * 2.5) << told.out << spent_s;
}

INSTANTIATE_TEST_SUITE_P(
    Commands, ToldTime,
    testing::Values(
        Work{"run_full",
             {"run", "scenarios/demo.toml", "--set", "seeds=60", "--set", "row.count=4"}},
        Work{"run_ideal", {"run", "scenarios/pull_request_still.toml", "--set", "duration=90 s"}},
        Work{"check", {"check", ""}}, Work{"sweep", {"sweep", ""}}),
    [](const auto& given) { return std::string(given.param.name); });

}  // namespace
}  // namespace sim::command
