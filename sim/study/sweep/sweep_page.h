// The result files of a sweep: summary.json, cells.csv and report.html, each whole or not there at
// all, as those of a run (tables.h).
//
// Errors   OutputError when a folder cannot be made or written
// Checked  tests/sim/study/run/report_test.cc, tests/sim/study/run/tables_test.cc,
// tests/sim/study/sweep/sampled_sweep_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/output/shown_units.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

std::string sweep_summary_json(const SweepResult& result);
/// What the `result` hash is taken of, with cells.csv behind it: the summary without its hashes.
std::string unhashed_sweep_json(const SweepResult& result);
std::string cells_csv(const SweepResult& result);
std::string sweep_report_html(const SweepResult& result, output::Units units);
void write_sweep(const SweepResult& result, const std::filesystem::path& out,
                 output::Units units = output::Units::kMetric);
/// Fills the hashes; a sweep's scenario and parameters are those of all its cells, in order.
void seal(SweepResult& result);

/// Maps of a grid, pictures of samples, and the table of all cells.
std::string maps_section(const SweepResult& result, output::Units units);
/// Empty where the sweep watched nothing.
std::string precision_section(const SweepResult& result, output::Units units);

}  // namespace sim::sweep
