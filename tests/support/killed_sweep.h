// A sweep that is killed at drawn instants, also beyond its end, and goes on each time.
//
// Errors   none thrown: what differs fails the test
// Checked  tests/sim/command/sweep_command_test.cc, tests/sim/command/sweep_kill_slow_test.cc
#pragma once

#include <gtest/gtest.h>
#include <signal.h>

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace support {

/// `durations`: the study's second axis, a list of TOML. Every fourth kill begins a fresh folder.
inline void kill_and_resume_sweep(const std::string& durations, int kills) {
  const ScratchFolder scratch;
  const std::filesystem::path study = write_small_study(scratch.path(), durations);
  const std::filesystem::path whole = scratch.path() / "whole", killed = scratch.path() / "killed";
  const auto words = [&](const std::filesystem::path& out, bool resume) {
    std::vector<std::string> all = {sillion_path(), "sweep", study.string(),
                                    "--quiet",      "--out", out.string()};
    if (resume) all.push_back("--resume");
    return all;
  };
  const auto start = std::chrono::steady_clock::now();
  ASSERT_EQ(run_program(words(whole, false)).code, 0);
  const double whole_ms =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  std::uint32_t draw = 4321;
  int cut = 0;
  for (int k = 0; k < kills; ++k) {
    draw = draw * 1664525u + 1013904223u;
    Program program(words(killed, k > 0));
    const auto limit = static_cast<int>(1.2 * whole_ms * ((draw >> 8) % 1000) / 1000.0);
    if (!program.ends_within(std::chrono::milliseconds(5 + limit))) {
      program.send(SIGKILL);
      ++cut;
    }
    program.wait();
    if (k % 4 == 3) std::filesystem::remove_all(killed);
  }
  EXPECT_GT(cut, 0);  // how many depends on the machine
  ASSERT_EQ(run_program(words(killed, true)).code, 0);
  for (const char* file : {"summary.json", "cells.csv", "report.html"})
    EXPECT_EQ(text_of(killed / file), text_of(whole / file)) << file;
}

}  // namespace support
