// The valve sheet, one printed side of A4 or Letter: the verdict and its quality, one table of
// limits, the current measured and modelled, further figures, cautions.
//
//   sheet.html    A4 or Letter by the browser's print; nothing is shown by colour alone
//   valve.json    schema "sillion.valve.1"          pulses.csv   one line per pulse of the trace
//   valve.toml    with a fit: a file for `valve.file` of any setup or scenario
//
// Units    JSON and CSV are SI; a value that does not exist is null or empty
// Errors   OutputError; no half-written file stays
// Checked  tests/sim/study/valve/valve_sheet_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/study/run/report.h"
#include "sim/study/valve/valve_check.h"

namespace sim::valve {

/// "Not in order: closing 4.10 ms, limit 3.00 ms; replace plunger and seat, then repeat".
std::string valve_sentence(const ValveCheck& check, output::Units units);
/// "MISFIT: ..." or "NO FIT: ..." where the model does not explain the trace or could not be
/// fitted; empty where nothing limits the verdict.
std::string quality_words(const ValveCheck& check);
/// One line per limit: name, figure, half of its 95 % interval, limit, margin, standing, next
/// step.
std::vector<std::vector<std::string>> limit_lines(const ValveCheck& check, output::Units units);
/// Name and value of everything that the programme found.
std::vector<std::vector<std::string>> figure_lines(const ValveCheck& check, output::Units units);
/// With `period_s` above 0 a dose is followed by its flow at that repetition.
std::string figure_words(ValveFigureKind kind, double value_si, output::Units units,
                         double period_s = 0.0);
/// A lift or another length of the valve: "0.80 mm", "0.0315 in".
std::string valve_length_words(double length_m, output::Units units);
/// "66.5 mm³", "0.00225 fl oz".
std::string valve_dose_words(double dose_m3, output::Units units);
std::string valve_json(const ValveCheck& check);
std::string valve_pulses_csv(const TraceFindings& findings);
std::string valve_sheet_html(const ValveCheck& check, output::Units units);
void write_valve(ValveCheck& check, const std::filesystem::path& out, output::Units units);

// Curves of the sheet, as SVG to be put inside the page.
std::string valve_pulse_svg(const ValveCheck& check, output::Units units);
std::string valve_dose_svg(const ValveCheck& check, output::Units units);
std::string valve_repetition_svg(const ValveCheck& check);

}  // namespace sim::valve
