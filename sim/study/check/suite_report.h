// A judged suite in words: one sentence, a page in Markdown, one line of JSON per case, and
// failures in the form of compiler messages.
//
//   Markdown   the sentence; the red cases with their causes and the commands that show them; the
//              ten tightest margins; all cases that did not run
//   errors     "file:line: error: case: words", with the place of the requirement or family
//
// Errors   none
// Checked  tests/sim/study/check/suite_report_test.cc
#pragma once

#include <string>

#include "sim/study/check/suite_result.h"
#include "sim/study/run/report.h"

namespace sim::check {

std::string suite_sentence(const SuiteResult& suite, output::Units units);
std::string suite_markdown(const SuiteResult& suite, output::Units units);
std::string cases_jsonl(const SuiteResult& suite);
std::string error_lines(const SuiteResult& suite, output::Units units);
/// One JSON document: the sentence, counts, and the content of cases_jsonl().
std::string suite_json(const SuiteResult& suite, int exit_code);

}  // namespace sim::check
