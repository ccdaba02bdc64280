// A study that is killed at drawn instants, also beyond its end, and goes on each time: its results
// are those of a study that nobody killed, to the byte.
//
// Errors   none thrown: what differs fails the test
// Checked  tests/sim/command/sweep_command_test.cc, tests/sim/command/study_kill_slow_test.cc
#pragma once

#include <gtest/gtest.h>
#include <signal.h>

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "tests/support/result_folder.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace support {

struct Kills {
  int kills = 6;
  int fresh_after = 4;  // so many kills of one folder, then a fresh one
};

/// `words`: the command with its input and settings, without --out and --resume.
inline void kill_and_resume(std::vector<std::string> words, const Kills& plan) {
  const ScratchFolder scratch;
  const std::filesystem::path whole = scratch.path() / "whole", killed = scratch.path() / "killed";
  words.insert(words.begin(), sillion_path());
  words.insert(words.end(), {"--quiet", "--out"});
  const auto run = [&](const std::filesystem::path& out, bool resume) {
    std::vector<std::string> all = words;
    all.push_back(out.string());
    if (resume) all.push_back("--resume");
    return all;
  };
  const auto start = std::chrono::steady_clock::now();
  const int code = run_program(run(whole, false)).code;
  ASSERT_LE(code, 1);
  const double whole_ms =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  std::uint32_t draw = 4321;
  int cut = 0, went_on = 0;
  for (int k = 0; k < plan.kills; ++k) {
    if (k % plan.fresh_after == 0) std::filesystem::remove_all(killed);
    draw = draw * 1664525u + 1013904223u;
    Program program(run(killed, true));
    // The first kill comes early enough to find the study at work.
    const double within_ms = (k == 0 ? 0.3 : 1.2) * whole_ms;
    const auto limit = static_cast<int>(within_ms * ((draw >> 8) % 1000) / 1000.0);
    if (!program.ends_within(std::chrono::milliseconds(5 + limit))) {
      program.send(k % 2 == 0 ? SIGKILL : SIGTERM);  // at once, or with what it can put away
      ++cut;
    }
    const Ended ended = program.wait();
    EXPECT_TRUE(ended.code == code || ended.code == 128 + SIGKILL || ended.code == 128 + SIGTERM)
        << ended.code << " " << ended.err;
    went_on += pieces_in(killed) > 0 && !std::filesystem::exists(killed / "summary.json") ? 1 : 0;
  }
  EXPECT_GT(cut, 0);  // how many depends on the machine
  if (plan.kills >= 20) {
    EXPECT_GT(went_on, 0) << "no kill left anything to go on from";
  }
  ASSERT_EQ(run_program(run(killed, true)).code, code);
  expect_same_results(killed, whole);
}

/// `durations`: the study's second axis, a list of TOML.
inline void kill_and_resume_sweep(const std::string& durations, const Kills& plan) {
  const ScratchFolder scratch;
  kill_and_resume({"sweep", write_small_study(scratch.path(), durations).string()}, plan);
}

/// Ideal rows at four speeds, with so much scatter that no speed holds: exit code 1.
inline void kill_and_resume_delay(const Kills& plan) {
  std::vector<std::string> words = {"delay", "short rake", "--scenario", "scenarios/demo.toml"};
  for (const char* set : {"row.physics=ideal", "tuning.speeds=4", "tuning.seeds=80",
                          "tuning.rates=2", "row.count=4", "delivery.rest_scatter=12 mm"})
    words.insert(words.end(), {"--set", set});
  kill_and_resume(words, plan);
}

inline void kill_and_resume_outlet(const Kills& plan) {
  kill_and_resume({"outlet", "short rake", "--scenario", "scenarios/demo.toml", "--bores",
                   "1.4 mm, 1.6 mm", "--tube-bores", "8 mm", "--tube-lengths", "300 mm",
                   "--hose-bores", "8 mm", "--walls", "as stated, polyamide 12"},
                  plan);
}

}  // namespace support
