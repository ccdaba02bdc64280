// Result files of runs: summary.json, seeds.csv, report.html, each whole or not there at all.
//
// JSON and CSV are SI; numbers are shortest round trip, independent of locale; not-a-number is null
// in JSON, empty in CSV.
// No wall-clock time and no path stands in any of them. Rows and seeds count from 0.
// Errors   OutputError when a folder cannot be made or written (read-only, disk full): nothing
//          half-written stays behind
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/study/run/report.h"
#include "sim/study/run/run.h"

namespace sim::run {

std::string summary_json(const RunResult& result, const ReportExtras& extras = {});
std::string seeds_csv(const RunResult& result);
const char* status_word(measure::SeedStatus status);  // as in seeds.csv

/// Writes all files of one result into a fresh folder beside `out`, then moves it into place.
void write_run(const RunResult& result, const std::filesystem::path& out,
               output::Units units = output::Units::kMetric, const ReportExtras& extras = {});

/// Fills hashes.result (over everything but the hashes themselves) and the others from the scenario
/// and the program.
void seal(RunResult& result);

}  // namespace sim::run
