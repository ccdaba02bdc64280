// What is wrong with a case of a suite, one line each, in the same words for log, JUnit and
// Markdown.
//
// Units    as asked for; JUnit's properties and cases.jsonl hold the same figures in SI
// Errors   none
// Checked  tests/sim/study/check/suite_report_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/check/suite_result.h"
#include "sim/study/run/report.h"

namespace sim::check {

/// One thing that is wrong with a case, and the place in the file that requires it to be right.
struct TroubleLine {
  std::string place;  // "scenarios/demo.toml:12", of the requirement or else of the family
  std::string words;
};
/// Empty for kNone.
std::vector<TroubleLine> trouble_lines(const SuiteResult& suite, std::size_t index,
                                       output::Units units);

}  // namespace sim::check
