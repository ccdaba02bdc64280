// What `delay` writes: the table as the controller takes it, the same figures per row speed as CSV,
// everything as JSON, and one sheet to print.
//
//   delay.toml (sim/scenario/delay_file.h), delay.csv, summary.json, sheet.html: either all are
//   written whole or none
//   JSON and CSV are SI; the sheet uses the units of --units
//
// Errors   OutputError when the folder cannot be written
// Checked  tests/sim/study/delay/delay_tables_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/scenario/delay_file.h"
#include "sim/study/delay/delay.h"
#include "sim/study/run/report.h"

namespace sim::delay {

/// The study must be sealed first: the file carries the program's hash.
scenario::DelayFile delay_file_of(const DelayStudy& study);
std::string delay_csv(const DelayStudy& study);
std::string delay_summary_json(const DelayStudy& study);
std::string delay_sheet_html(const DelayStudy& study, output::Units units);
/// "Holds 10 mm up to 20.2 km/h ..."
std::string delay_sentence(const DelayStudy& study, output::Units units);
/// "holds 10 mm for 9 to 24 C, 2.7 to 3.3 bar, 11.6 to 14 V"; empty where even the middle fails.
std::string valid_box_words(const DelayStudy& study, output::Units units);
void seal(DelayStudy& study);
void write_delay(const DelayStudy& study, const std::filesystem::path& out, output::Units units);

}  // namespace sim::delay
