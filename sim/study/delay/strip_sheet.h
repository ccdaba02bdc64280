// The strip test on paper: a printable sheet with a ruler, pages to write readings on, a CSV to
// type them into, and the words for what the readings show.
//
//   strip_sheet.html   page 1: what to do, a ruler at 1:1, cautions; then a page per run with a
//                      field for each band of each row
//   strip_readings.csv the same fields with empty offsets
//   ruler              SVG in millimetres, 0 to 180 mm, and a line of 100 mm to check the scale
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
/// The plan in sentences: bands, runs, time, and how well the result will be known.
std::vector<std::string> strip_plan_lines(const StripPlan& plan, output::Units units);
std::string strip_plan_json(const StripPlan& plan);

/// The figures first: what to enter, its interval, what a trim recovers.
std::vector<std::string> strip_fit_lines(const StripFit& fit, output::Units units);
std::string strip_result_html(const StripFit& fit, const std::string& name, output::Units units);
std::string strip_fit_json(const StripFit& fit);

}  // namespace sim::delay
