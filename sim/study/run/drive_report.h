// What the machine did during a run: speed and course over time, and what else a recorded drive's
// log contained. It is a section of the run's report, lines for the terminal, and `drive` of
// summary.json.
//
//   speed    of the machine's middle and, if it turns, of the leftmost and the rightmost row
//   course   change of heading since the start, positive to the right
//   counts   of the log's sentences, by the reason why they were skipped
//
// For a machine that goes straight at one speed there is nothing to report, and all parts are
// empty. None of this is part of the result's hash, which covers only the outcome of the pass.
// Units    SI in summary.json: `drive`.lines, fixes, gaps, gap_time_s, longest_gap_s, passed_over
// Checked  tests/sim/study/run/drive_report_test.cc
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/nmea_log.h"
#include "sim/study/run/report.h"

namespace sim::run {

/// Without `log` the drive is the scenario's own profile or turn.
ReportExtra drive_extra(const RunResult& result, const std::optional<scenario::NmeaCounts>& log,
                        output::Units units);
/// One line on the drive, and one on the parts of the log that were skipped; none without a log.
std::vector<std::string> drive_lines(const RunResult& result,
                                     const std::optional<scenario::NmeaCounts>& log,
                                     output::Units units);
/// Speed above course, over one time axis; empty if the machine goes straight at one speed.
std::string drive_svg(const RunResult& result, bool recorded, output::Units units);
/// Duration of the pass.
double driven_s(const RunResult& result);

}  // namespace sim::run
