// The row's module (row.wasm) under node against the program: the same result hashes, and the same
// bits of every elementary function. Skips where the build has no module (CMakeLists.txt says what
// it lacks) or the machine no node.
//
// Source   the hashes are those of `sillion run`; the functions are those of the packaged SLEEF
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "sim/command/browser/function_probe.h"
#include "sim/command/browser/standalone.h"
#include "sim/output/hash.h"
#include "sim/scenario/loader.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using sim::command::RowContents;

const fs::path kModule = fs::path(SILLION_BINARY_DIR) / "wasm/row.wasm";
const fs::path kFunctions = fs::path(SILLION_BINARY_DIR) / "wasm/functions.wasm";
constexpr char kRunner[] = SILLION_SOURCE_DIR "/tests/support/row_module.mjs";

std::string what_lacks() {
  if (!fs::exists(kModule)) return "no " + kModule.string() + ": target wasm was not built";
  if (support::run_program({"node", "--version"}).code != 0) return "no node on this machine";
  return "";
}

struct ModuleCase {
  std::string file;
  std::vector<std::string> sets;
};

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

/// The first line that differs, and in seeds.csv the first column of it: "row 0, seed 17, dose_m3".
std::string first_difference(const std::string& wanted, const std::string& got) {
  const std::vector<std::string> left = lines_of(wanted), right = lines_of(got);
  std::size_t at = 0;
  while (at < std::min(left.size(), right.size()) && left[at] == right[at]) ++at;
  if (at == left.size() && at == right.size()) return "";
  if (at >= left.size() || at >= right.size()) return "one has fewer lines";
  const auto header = std::find_if(left.begin(), left.end(), [](const std::string& line) {
    return line.starts_with("row,seed,");
  });
  std::string words = "`" + left[at] + "` became `" + right[at] + "`";
  if (header - left.begin() >= static_cast<std::ptrdiff_t>(at)) return words;
  std::istringstream names(*header), a(left[at]), b(right[at]);
  std::string name, one, other, row, seed;
  for (int column = 0; std::getline(names, name, ','); ++column) {
    std::getline(a, one, ',');
    std::getline(b, other, ',');
    if (column == 0) row = one;
    if (column == 1) seed = one;
    if (one != other)
      return "row " + row + ", seed " + seed + ", " + name + ": " + one + " became " + other;
  }
  return words;
}

std::string answer_of(const fs::path& contents, const std::string& question) {
  const support::Ended ended =
      support::run_program({"node", kRunner, "answer", kModule, contents, question});
  EXPECT_EQ(ended.code, 0) << ended.err;
  return ended.out;
}

class RowModuleCases : public ::testing::TestWithParam<ModuleCase> {};

TEST_P(RowModuleCases, HasTheResultHashOfTheProgram) {
  if (const std::string lacks = what_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  const fs::path file = fs::path(SILLION_SOURCE_DIR) / "scenarios" / GetParam().file;
  const support::ScratchFolder scratch;
  std::vector<std::string> run = {support::sillion_path(), "run", file, "--out",
                                  scratch.path() / "run"};
  for (const std::string& set : GetParam().sets) run.insert(run.end(), {"--set", set});
  const support::Ended ended = support::run_program(run);
  ASSERT_TRUE(ended.code == 0 || ended.code == 1) << ended.err;
  const auto summary = nlohmann::json::parse(support::text_of(scratch.path() / "run/summary.json"));
  RowContents contents;
  contents.scenario = sim::scenario::load_scenario(file, GetParam().sets);
  const std::string known = contents_text(contents);
  std::ofstream(scratch.path() / "contents.txt", std::ios::binary) << known;
  const std::string answer = answer_of(scratch.path() / "contents.txt", "run\\n");
  const std::string wanted = summary["hashes"]["result"];
  const std::string got = sim::output::short_hash_hex(answer);
  std::cout << GetParam().file << ": " << wanted << " by the program, " << got
            << " by the module\n";
  EXPECT_EQ(got, wanted) << first_difference(sim::command::RowModule(known).answer("run\n"),
                                             answer);
}

// The demo, a ramp of speed, a marginal setting, a seed that falls (exp and log of its drag), a
// curve (sin and cos), rows that share a manifold, a radio that loses
// frames: each of them with few seeds.
INSTANTIATE_TEST_SUITE_P(
    RowModule, RowModuleCases,
    ::testing::Values(
        ModuleCase{"demo.toml", {"row.count=1", "seeds=120"}},
        ModuleCase{"demo_ramp.toml", {"row.count=1", "duration=\"6 s\""}},
        ModuleCase{"demo_marginal.toml", {"row.count=1", "seeds=120"}},
        ModuleCase{"demo_gravity.toml", {"row.count=1", "seeds=60"}},
        ModuleCase{"demo.toml", {"row.count=3", "seeds=40", "travel.turn_radius=\"60 m\""}},
        ModuleCase{"demo.toml",
                   {"row.count=3", "seeds=40", "supply.pump_flow=\"5 l/min\"",
                    "supply.pump_pressure=\"8 bar\"", "supply.manifold_volume=\"0.01 l\""}},
        ModuleCase{"demo.toml",
                   {"row.count=3", "seeds=40", "network.radio.period=\"100 ms\"",
                    "network.radio.worsens=\"5 %\"", "network.radio.recovers=\"30 %\"",
                    "network.radio.lost_bad=\"80 %\"", "network.cab.simulated=true",
                    "network.cab.load=\"60 %\""}}));

TEST(RowModule, HasEveryBitOfTheLibrarysFunctions) {
  if (const std::string lacks = what_lacks(); !lacks.empty()) GTEST_SKIP() << lacks;
  constexpr std::uint64_t kArguments = 2'000'000;
  const support::Ended ended =
      support::run_program({"node", kRunner, "digests", kFunctions, std::to_string(kArguments)});
  ASSERT_EQ(ended.code, 0) << ended.err;
  const std::vector<std::string> got = lines_of(ended.out);
  ASSERT_EQ(got.size(), std::size(sim::command::kProbed));
  for (std::size_t which = 0; which < got.size(); ++which) {
    char wanted[17];
    std::snprintf(wanted, sizeof wanted, "%016llx",
                  static_cast<unsigned long long>(
                      sim::command::probe(static_cast<int>(which), 0, kArguments)));
    EXPECT_EQ(got[which], wanted) << sim::command::kProbed[which];
  }
}

}  // namespace
