// The budget as a page, as a section of another page, and as sentences. The interaction is the
// first figure; if it is too large, the words say that the parts are not to be trusted.
//
// Checked  tests/sim/study/budget/budget_tables_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/output/html.h"
#include "sim/study/budget/budget.h"
#include "sim/study/run/report.h"

namespace sim::budget {

/// Figure first: the share of seeds within the tolerance, then the largest part.
std::string budget_sentence(const BudgetResult& result, output::Units units);
/// "largest part of the error: seed bounce", or why no part is named.
std::string largest_part_words(const BudgetResult& result);
/// "interaction remainder: 0.4 % of the variance, below 20 %: the parts can be read one by one"
std::string interaction_sentence(const BudgetResult& result);
/// How many seeds count, and why the others do not.
std::string counted_sentence(const BudgetResult& result);
/// The parts by share, as the page and the terminal show them.
output::Table parts_table(const BudgetResult& result, output::Units units);

std::string budget_section(const BudgetResult& result, output::Units units);
std::string budget_report_html(const BudgetResult& result, output::Units units);
/// Each part on one line: its mean as a stroke, a hatched bar of one sd to either side, its share.
std::string budget_parts_svg(const BudgetResult& result, output::Units units);

}  // namespace sim::budget
