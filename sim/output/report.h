// The report: one self-contained HTML file, readable with scripts off and on paper. Static SVG
// plots, words beside colour.
//
// Checked  tests/sim/report_test.cc
#pragma once

#include <cstdint>
#include <string>

#include "sim/study/run.h"
#include "sim/study/sweep.h"

namespace sim {

enum class Units : std::uint8_t { kMetric, kUs };

std::string run_report_html(const RunResult& result, Units units);
std::string sweep_report_html(const SweepResult& result, Units units);
/// One figure for the README: the furrow to scale with bands and seeds.
std::string furrow_svg(const RunResult& result, Units units);

}  // namespace sim
