// What `sweep` says of a result on the terminal, and the exit code that says the same.
//
// Checked  tests/sim/command/sweep_command_test.cc
#pragma once

#include <filesystem>
#include <vector>

#include "sim/command/sweep_options.h"
#include "sim/study/sweep/sweep.h"

namespace sim::command {

/// Names on standard error each cell that a fault ended.
void tell_failed(const std::vector<sweep::SweepCell>& cells);
/// The exit code of these cells: says what the first line says.
int code_of(const std::vector<sweep::SweepCell>& cells);
/// The whole answer of a sweep on standard output.
void print_sweep(const sweep::SweepResult& result, const SweepOptions& options,
                 const std::filesystem::path& out);

}  // namespace sim::command
