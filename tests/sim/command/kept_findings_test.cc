// Tables and trims that were kept change no byte of a result, whether they are there, damaged, or
// cannot be kept; what they depend on decides whether they are used.
#include "sim/command/kept_findings.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <fstream>
#include <mutex>
#include <set>

#include "sim/command/loaded_code.h"
#include "sim/output/hash.h"
#include "sim/study/run/seal.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"
#include "tests/support/parsed_command.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using support::ScratchFolder;
using support::text_of;
using testing::HasSubstr;
using testing::SizeIs;

/// Full rows with a strip test that takes a moment.
const std::vector<std::string> kShort = {"seeds=20", "row.count=2",
                                         "controller.strip_test_bands=5"};

sim::scenario::Scenario short_demo(std::vector<std::string> more = {}) {
  more.insert(more.begin(), kShort.begin(), kShort.end());
  return sim_test::demo(more);
}

support::Ended run_in(const fs::path& folder, const std::string& out,
                      const std::vector<std::string>& more = {}) {
  std::vector<std::string> words = {support::sillion_path(),
                                    "run",
                                    std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
                                    "--quiet",
                                    "--out",
                                    out};
  for (const std::string& set : kShort) words.insert(words.end(), {"--set", set});
  words.insert(words.end(), more.begin(), more.end());
  return support::Program(words, {}, folder).wait();
}

/// The bytes of a run's files, one after the other.
std::string bytes_of_run(const fs::path& out) {
  std::string all;
  for (const char* file : {"summary.json", "seeds.csv", "report.html"}) all += text_of(out / file);
  return all;
}

std::vector<fs::path> files_in(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

/// Replaces every kept file by what `change` makes of it.
template <typename Change>
void change_all(const fs::path& kept, const Change& change) {
  for (const fs::path& file : files_in(kept)) {
    const std::string text = change(text_of(file));
    std::ofstream(file, std::ios::binary) << text;
  }
}

TEST(KeptFindings, ColdWarmDamagedAndWithoutThemTheBytesAreTheSame) {
  const ScratchFolder scratch;
  const fs::path kept = scratch.path() / "out" / "kept";
  ASSERT_LE(run_in(scratch.path(), "elsewhere").code, 1);
  const std::string without = bytes_of_run(scratch.path() / "elsewhere");
  EXPECT_FALSE(fs::exists(scratch.path() / "out"));  // --out elsewhere keeps nothing on the disk
  ASSERT_THAT(without, HasSubstr("placement_error"));

  ASSERT_LE(run_in(scratch.path(), "out/cold").code, 1);
  EXPECT_EQ(bytes_of_run(scratch.path() / "out/cold"), without);
  EXPECT_THAT(files_in(kept), SizeIs(2));  // a table and the trims
  std::vector<std::string> whole;
  for (const fs::path& file : files_in(kept)) whole.push_back(text_of(file));

  ASSERT_LE(run_in(scratch.path(), "out/warm").code, 1);
  EXPECT_EQ(bytes_of_run(scratch.path() / "out/warm"), without);

  const auto flipped = [](std::string text) {
    text[text.size() / 2] = static_cast<char>(text[text.size() / 2] ^ 1);
    return text;
  };
  const auto cut = [](const std::string& text) { return text.substr(0, text.size() / 2); };
  int at = 0;
  for (const auto& damage : {std::function<std::string(std::string)>(flipped),
                             std::function<std::string(std::string)>(cut)}) {
    change_all(kept, damage);
    const std::string out = "out/damaged" + std::to_string(at++);
    ASSERT_LE(run_in(scratch.path(), out).code, 1);
    EXPECT_EQ(bytes_of_run(scratch.path() / out), without);
    std::vector<std::string> again;
    for (const fs::path& file : files_in(kept)) again.push_back(text_of(file));
    EXPECT_EQ(again, whole);  // computed again, and mended
  }
}

// Kept trims are really used: a trim that is changed by 5 mm, with its sum put right, moves the
// bands. (Whoever forges a file gets a forged result; the sum guards against accidents.)
TEST(KeptFindings, AWarmRunTakesWhatWasKept) {
  const ScratchFolder scratch;
  ASSERT_LE(run_in(scratch.path(), "out/cold").code, 1);
  change_all(scratch.path() / "out" / "kept", [](std::string text) {
    const std::size_t trim = text.find("trim_um ");
    if (trim == std::string::npos) return text;
    const std::size_t number = trim + 8, end = text.find('\n', trim);
    text.replace(number, end - number,
                 std::to_string(std::stoi(text.substr(number, end - number)) + 5000));
    const std::string lines = text.substr(0, text.rfind("sum "));
    return lines + "sum " + sim::output::sha256_hex(lines) + "\n";
  });
  ASSERT_LE(run_in(scratch.path(), "out/warm").code, 1);
  EXPECT_NE(text_of(scratch.path() / "out/cold/seeds.csv"),
            text_of(scratch.path() / "out/warm/seeds.csv"));
  // Other keys and other speeds have trims of their own.
  for (const char* set : {"rng_key=77", "travel.speed=12 km/h"}) {
    ASSERT_LE(run_in(scratch.path(), "out/other", {"--set", set}).code, 1);
    ASSERT_LE(run_in(scratch.path(), "plain", {"--set", set}).code, 1);
    EXPECT_EQ(bytes_of_run(scratch.path() / "out/other"), bytes_of_run(scratch.path() / "plain"));
  }
}

TEST(KeptFindings, AFolderThatCannotServeFailsNoRun) {
  const ScratchFolder scratch;
  fs::create_directories(scratch.path() / "out");
  std::ofstream(scratch.path() / "out" / "kept") << "a file in the way";
  const support::Ended ended = run_in(scratch.path(), "out/run");
  EXPECT_LE(ended.code, 1) << ended.err;
  ASSERT_LE(run_in(scratch.path(), "elsewhere").code, 1);
  EXPECT_EQ(bytes_of_run(scratch.path() / "out/run"), bytes_of_run(scratch.path() / "elsewhere"));
}

TEST(KeptFindings, TwoRunsAtOnceGiveTheSameBytes) {
  const ScratchFolder scratch;
  std::vector<std::string> words = {support::sillion_path(), "run",
                                    std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml",
                                    "--quiet"};
  for (const std::string& set : kShort) words.insert(words.end(), {"--set", set});
  std::vector<std::string> second = words;
  words.insert(words.end(), {"--out", "out/first"});
  second.insert(second.end(), {"--out", "out/second"});
  support::Program one(words, {}, scratch.path()), two(second, {}, scratch.path());
  EXPECT_LE(one.wait().code, 1);
  EXPECT_LE(two.wait().code, 1);
  EXPECT_EQ(bytes_of_run(scratch.path() / "out/first"),
            bytes_of_run(scratch.path() / "out/second"));
  EXPECT_THAT(files_in(scratch.path() / "out" / "kept"), SizeIs(2));
}

TEST(KeptFindings, OnlyCommandsThatLayResultsBelowOutKeepThemThere) {
  const auto folder = [](const std::string& command, const std::vector<std::string>& more) {
    std::vector<std::string> words = {"sillion", command, "input"};
    if (command == "score") words.insert(words.end(), {"--row", "setup.toml"});
    words.insert(words.end(), more.begin(), more.end());
    return support::parsed_command(words).value().keeps();
  };
  std::set<std::string> keeping;
  for (const sim::command::Command& command : sim::command::all_commands())
    if (command.keeps) keeping.insert(command.name);
  EXPECT_THAT(keeping, testing::UnorderedElementsAre("run", "sweep", "budget", "delay", "today",
                                                     "outlet", "rate", "faults", "search", "score",
                                                     "stimulus", "unit"));
  for (const std::string& command : keeping) {
    EXPECT_EQ(folder(command, {}), fs::path("out/kept")) << command;
    EXPECT_EQ(folder(command, {"--out", "out/slower"}), fs::path("out/kept")) << command;
    EXPECT_EQ(folder(command, {"--out", "./out/a/b"}), fs::path("out/kept")) << command;
    EXPECT_EQ(folder(command, {"--out", "out"}), fs::path()) << command;
    EXPECT_EQ(folder(command, {"--out", "/elsewhere/out/x"}), fs::path()) << command;
    EXPECT_EQ(folder(command, {"--out", "elsewhere"}), fs::path()) << command;
    const std::set<std::string> whole = {"today", "rate", "score", "stimulus", "unit"};
    if (whole.contains(command)) continue;  // these have no --dry-run
    EXPECT_EQ(folder(command, {"--dry-run"}), std::nullopt) << command;
  }
}

TEST(KeptFindings, TheProgramIsItsSourcesAndWhatIsLoaded) {
  const std::string code = sim::command::loaded_code();
  EXPECT_EQ(code, sim::command::loaded_code());
  EXPECT_THAT(code, HasSubstr(sim::run::hashes_without_controller({}, {}).program));
  // The mathematics library decides bits of a result; `readelf -n` shows its identity.
  EXPECT_THAT(code, testing::ContainsRegex("libsleef[^ \n]* [0-9a-f]+"));
}

/// Notes the inputs of each request and answers every strip test at once.
class Asked {
 public:
  Asked()
      : in_use_({.find = [this](const std::string& kind,
                                const std::string& inputs) -> std::optional<std::string> {
                   if (kind != "strip trim") return std::nullopt;
                   const std::lock_guard lock(mutex_);
                   inputs_ = inputs;
                   return "trim_um 1\ntrim_um 2\n";
                 },
                 .keep = {}}) {}
  /// Inputs of the strip test of this scenario with this table.
  std::string inputs_of(const sim::scenario::Scenario& scenario,
                        const sillion_attachment_table& table) {
    EXPECT_EQ(sim::tune::strip_test_trim_um(scenario, table), (std::vector<int>{1, 2}));
    return inputs_;
  }

 private:
  std::mutex mutex_;
  std::string inputs_;
  sim::tune::KeeperInUse in_use_;
};

TEST(KeptFindings, WhatAStripTestRestsOnGivesOtherTrims) {
  Asked asked;
  const sillion_attachment_table table{};
  std::set<std::string> seen = {asked.inputs_of(short_demo(), table)};
  const std::vector<std::string> rests_on = {"rng_key=2",
                                             "travel.speed=12 km/h",
                                             "seeding.spacing=0.2 m",
                                             "noise.outlet_mount=1 mm",
                                             "controller.strip_test_reading=2 mm",
                                             "controller.strip_test_bands=6",
                                             "liquid.temperature=4 C",
                                             "supply.voltage=11 V",
                                             "attachment.outlet.bore=1.2 mm",
                                             "delivery.rest_scatter=1 mm",
                                             "clock.drift=1 ppm",
                                             "solver.step=50 us",
                                             "fault=[{kind=\"late_edges\", by=\"4 ms\"}]"};
  for (const std::string& set : rests_on)
    EXPECT_TRUE(seen.insert(asked.inputs_of(short_demo({set}), table)).second) << set;
  sillion_attachment_table other{};
  other.lag_us[3] = 1;
  EXPECT_TRUE(seen.insert(asked.inputs_of(short_demo(), other)).second);
  // No key of a file states what a counterfactual pass makes ideal.
  for (const auto make_ideal :
       {+[](sim::scenario::IdealSwitches& ideal) { ideal.even_places = true; },
        +[](sim::scenario::IdealSwitches& ideal) { ideal.single_seeds = true; },
        +[](sim::scenario::IdealSwitches& ideal) { ideal.mean_bounce = true; },
        +[](sim::scenario::IdealSwitches& ideal) { ideal.still_column = true; },
        +[](sim::scenario::IdealSwitches& ideal) { ideal.still_shift_s = 1e-9; }}) {
    sim::scenario::Scenario scenario = short_demo();
    make_ideal(scenario.ideal);
    EXPECT_TRUE(seen.insert(asked.inputs_of(scenario, table)).second);
  }
}

TEST(KeptFindings, WhatAStripTestDoesNotRestOnSharesItsTrims) {
  Asked asked;
  const sillion_attachment_table table{};
  const std::string plain = asked.inputs_of(short_demo(), table);
  for (const char* set : {"seeds=40", "duration=9 s", "require=[]",
                          "work.lift_times=[\"2 s\", \"3 s\"]", "tuning.speeds=3"})
    EXPECT_EQ(asked.inputs_of(short_demo({set}), table), plain) << set;
}

TEST(KeptFindings, AForeignControllerIsTestedAnewEachTime) {
  const Asked asked;
  sim::scenario::Scenario scenario = short_demo();
  scenario.controller.library = "/no/such/library.so";
  EXPECT_ANY_THROW(sim::tune::strip_test_trim_um(scenario, sillion_attachment_table{}));
}

// Cells share both when their scenarios differ only in what no table and no strip test depends on.
TEST(KeptFindings, CellsOfASweepShareWhatTheyCan) {
  const ScratchFolder scratch;
  const fs::path file = scratch.path() / "lengths.toml";
  std::ofstream(file) << "base = \"" << SILLION_SOURCE_DIR << "/scenarios/demo.toml\"\n"
                      << "replicas = 2\nrng_key = 1\n[set]\nrow.count = 2\n"
                      << "controller.strip_test_bands = 5\n"
                      << "liquid.temperature = \"13.5 C\"\n"
                      << "[axes]\n\"duration\" = [\"3 s\", \"4 s\", \"5 s\"]\n";
  const sim::sweep::Study study = sim::sweep::load_study(file);
  {
    const sim::command::KeptFindings kept(scratch.path() / "kept", "this test");
    sim::sweep::run_sweep(study);
  }
  // Six passes with two keys have one table and two strip tests.
  EXPECT_THAT(files_in(scratch.path() / "kept"), SizeIs(3));
}

}  // namespace
