// What the machine did during a run: speed and course over time, and what a recorded drive's log
// held besides. A section of the run's report, lines for the terminal, and `drive` of summary.json.
//
//   speed    of the machine's middle, and where it turns of the leftmost and the rightmost row
//   course   heading change since the start, positive to the right: what the pass turned by
//   counts   of the log's sentences, by the reason why one was passed over
//
// A machine that goes straight on at one speed has none of these: all are empty then. None of it
// is part of the result's hash, which is taken of what the pass came to.
// Units    SI in summary.json: `drive`.fixes, gaps, gap_time_s, longest_gap_s, passed_over
// Checked  tests/sim/study/run/drive_report_test.cc
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/nmea_log.h"
#include "sim/study/run/report.h"

namespace sim::run {

/// Without `log` the drive comes from the scenario's own profile or turn.
ReportExtra drive_extra(const RunResult& result, const std::optional<scenario::NmeaCounts>& log,
                        output::Units units);
/// One line of what was driven, and one of what of the log was passed over.
std::vector<std::string> drive_lines(const RunResult& result,
                                     const std::optional<scenario::NmeaCounts>& log,
                                     output::Units units);
/// Speed over course, over one time axis; empty where the machine goes straight on at one speed.
std::string drive_svg(const RunResult& result, bool recorded, output::Units units);
/// How long the pass lasted.
double driven_s(const RunResult& result);

}  // namespace sim::run
