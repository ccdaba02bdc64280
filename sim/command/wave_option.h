// --wave of `run` and `explain`: the waveform of one seed as VCD and CSV.
//
// Errors   OutputError
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/command/command_words.h"
#include "sim/study/run/report.h"

namespace sim::command {

void add_wave_option(CommandWords& words, std::filesystem::path& wave);
/// Writes `wave` and the CSV beside it, whole or not at all, and returns the line that says so.
std::string write_wave(const run::RunResult& result, const std::filesystem::path& wave);

}  // namespace sim::command
