// A judged suite in words: one sentence, a page in Markdown, a line of JSON a case, and failures as
// compilers write them.
//
//   Markdown   the sentence; what is red with its causes and the commands that show them; the ten
//              tightest margins; what did not run, in full
//   errors     "file:line: error: case: words", of the requirement or family that is to blame
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
/// One JSON document: the sentence, counts, and what cases_jsonl() says.
std::string suite_json(const SuiteResult& suite, int exit_code);

}  // namespace sim::check
