// The strip test on paper: a printable sheet with ruler, pages to write readings on, a CSV to type
// them into, and what readings say.
//
//   strip_sheet.html   page 1: what to do, a ruler at 1:1, cautions; then a page a run with a field
//                      for each band of each row
//   strip_readings.csv the same fields, offsets empty
//   ruler              SVG in millimetres, 0 to 180 mm, and a line of 100 mm to check by
//
// Frame    offsets: band less seed, positive ahead in travel direction
// Checked  tests/sim/study/delay/strip_sheet_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/delay/strip_fit.h"
#include "sim/study/delay/strip_plan.h"
#include "sim/study/run/report.h"

namespace sim::delay {

std::string ruler_svg();
std::string strip_sheet_html(const StripPlan& plan, const std::string& name, output::Units units);
std::string strip_readings_template_csv(const StripPlan& plan, output::Units units);
/// What the plan comes to, in lines of words.
std::vector<std::string> strip_plan_lines(const StripPlan& plan, output::Units units);
std::string strip_plan_json(const StripPlan& plan);

/// Figure first: what to enter, how sure, what a trim recovers.
std::vector<std::string> strip_fit_lines(const StripFit& fit, output::Units units);
std::string strip_result_html(const StripFit& fit, const std::string& name, output::Units units);
std::string strip_fit_json(const StripFit& fit);

}  // namespace sim::delay
