// The comparison of two builds in words and as JSON: a sentence, the first difference, each
// metric's shift.
//
// Errors   none
// Checked  tests/sim/study/check/compare_builds_test.cc
#pragma once

#include <string>

#include "sim/study/check/compare_builds.h"
#include "sim/study/run/report.h"

namespace sim::check {

std::string comparison_text(const Comparison& comparison, output::Units units);
std::string comparison_json(const Comparison& comparison);

}  // namespace sim::check
