// How much work a scenario or study is, for --dry-run and for progress.
//
// Checked  tests/sim/command_test.cc
#pragma once

#include <filesystem>

#include "sim/scenario/loader.h"

namespace sim {

/// What one core simulates at least, in row-seconds a second, of the fast form; bench/ prints the
/// measured figure.
inline constexpr double kRowSecondsPerSecond_ratio = 30.0;

/// Simulated row-seconds of one pass, the strip test before it included.
double row_time_s(const Scenario& scenario);
void print_size_of_run(const Scenario& scenario, const std::filesystem::path& out);
void print_size_of_budget(const Scenario& scenario, int orders, const std::filesystem::path& out);
/// Passes and row-seconds of a study, cell by cell.
double row_time_s(const Study& study);
void print_size_of_sweep(const Study& study, const std::filesystem::path& out);

}  // namespace sim
