// Result files of runs: summary.json, seeds.csv, applied.csv, report.html; all of them are written
// or none.
//
// JSON and CSV are in SI; a number is the shortest text that reads back the same, independent of
// locale; not-a-number is null in JSON, empty in CSV. No file contains a wall-clock time or a path.
// Rows and seeds count from 0.
// Errors   OutputError if a folder cannot be made or written (read-only, disk full); no unfinished
//          file is left
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/output/spilled_text.h"
#include "sim/study/run/report.h"
#include "sim/study/run/run.h"

namespace sim::run {

std::string summary_json(const RunResult& result, const ReportExtras& extras = {});
std::string seeds_csv(const RunResult& result);
std::string seeds_header();
/// One line of seeds.csv: the seed that stands at `index` of the record.
void add_seed_line(std::size_t row_index, const measure::RowRecord& row, std::size_t index,
                   std::string& text);

/// Lines of tables that are longer than what a result holds, by row; they take the place of those
/// that follow from its record.
struct LongTables {
  std::vector<output::SpilledText*> seeds, applied;
};

const char* status_word(measure::SeedStatus status);  // as in seeds.csv

/// Writes all files of one result into a new folder beside `out`, then moves it into place.
void write_run(const RunResult& result, const std::filesystem::path& out,
               output::Units units = output::Units::kMetric, const ReportExtras& extras = {},
               const LongTables* tables = nullptr);

/// Fills hashes.result (over everything but the hashes themselves) and the others from the scenario
/// and the program.
void seal(RunResult& result, const LongTables* tables = nullptr);

}  // namespace sim::run
