// The result files of a sweep: summary.json, cells.csv and report.html; all of them are written or
// none, like those of a run (tables.h).
//
// Errors   OutputError if a folder cannot be made or written
// Checked  tests/sim/study/run/report_test.cc, tests/sim/study/run/tables_test.cc,
//          tests/sim/study/sweep/sampled_sweep_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/output/shown_units.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

std::string sweep_summary_json(const SweepResult& result);
/// The summary without its hashes; followed by cells.csv it is the input of the `result` hash.
std::string unhashed_sweep_json(const SweepResult& result);
std::string cells_csv(const SweepResult& result);
std::string sweep_report_html(const SweepResult& result, output::Units units);
void write_sweep(const SweepResult& result, const std::filesystem::path& out,
                 output::Units units = output::Units::kMetric);
/// Fills the hashes; those of scenario and parameters cover all cells of the sweep, in order.
void seal(SweepResult& result);

/// Maps of a grid, pictures of samples, and the table of all cells.
std::string maps_section(const SweepResult& result, output::Units units);
/// Empty if there is no cell.
std::string precision_section(const SweepResult& result, output::Units units);

}  // namespace sim::sweep
