// The first lines of every report: sentences for its reader, figure first. Terminal and page show
// the same sentences.
//
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <string>

#include "sim/output/shown_units.h"
#include "sim/study/run/report.h"

namespace sim::run {

/// The goal: this share of the sensed seeds within 10 mm.
inline constexpr double kGoal_ratio = 0.95;
/// A share in percent, with enough decimals not to read like the goal if it misses the goal.
std::string goal_share(double share_ratio);

std::string run_sentence(const RunResult& result, output::Units units,
                         const ReportExtras& extras = {});
/// "98.1 % of sensed seeds within 10 mm at 16 km/h and 150 mm (97.0 % of all placed)"
std::string within_sentence(const measure::Summary& summary, const scenario::Scenario& scenario,
                            output::Units units);
/// "98.1 % of sensed seeds within 10 mm"
std::string within_words(const measure::Summary& summary, output::Units units);
/// "holds", "violated" or "no data".
const char* requirement_word(const measure::RequirementResult& requirement);
/// With its sign, and with enough decimals not to read like zero.
std::string margin_words(double margin_si, output::Measure measure, output::Units units);
/// "The goal, 95 % of sensed seeds within 10 mm,"
std::string goal_words(output::Units units);
/// How much further scatter below the sensor a pass tolerates before it misses the goal.
std::string break_even_sentence(const measure::Summary& summary,
                                output::Units units = output::Units::kMetric);
/// "16 km/h" or "9.9 mph"; a profile shows its fastest speed.
std::string speed_words(double speed_mps, output::Units units);

}  // namespace sim::run
