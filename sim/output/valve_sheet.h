// The valve sheet: first sentence, figures against limits, pulses, fit, curves. One printable page.
//
//   sheet.html    A4 or Letter by the browser's print; nothing is told by colour alone
//   valve.json    schema "sillion.valve.1"          pulses.csv   a line a pulse of the trace
//   valve.toml    with a fit: a file for `valve.file` of any setup or scenario
//
// Units    JSON and CSV SI; what does not exist is null or empty
// Errors   OutputError; nothing half-written stays
// Checked  tests/sim/valve_sheet_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/output/report.h"
#include "sim/study/valve_check.h"

namespace sim {

/// "Not in order: closing 4.10 ms, limit 3.00 ms; replace plunger and seat, then repeat".
std::string valve_sentence(const ValveCheck& check, Units units);
/// Every limit with its figure, standing and what to check next.
std::vector<std::vector<std::string>> limit_lines(const ValveCheck& check, Units units);
/// Name and figure of everything that the programme or the trace found.
std::vector<std::vector<std::string>> figure_lines(const ValveCheck& check, Units units);
std::string figure_words(ValveFigureKind kind, double value_si, Units units);
std::string valve_json(const ValveCheck& check);
std::string valve_pulses_csv(const TraceFindings& findings);
std::string valve_sheet_html(const ValveCheck& check, Units units);
void write_valve(ValveCheck& check, const std::filesystem::path& out, Units units);

// Curves of the sheet, as SVG for a place in the page.
std::string valve_pulse_svg(const ValveCheck& check);
std::string valve_dose_svg(const ValveCheck& check);
std::string valve_repetition_svg(const ValveCheck& check);

}  // namespace sim
