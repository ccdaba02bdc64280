// What a budget leaves behind: summary.json, budget.csv, a page. Beside a run's files the first is
// named budget.json.
//
//   summary.json  schema "sillion.budget.1": the interaction first, then error, parts by share,
//                 seeds, orders, tuned, hashes
//   budget.csv    a line a seed that counts: row, seed, placement_error_m, a column KEY_m a part;
//                 the parts sum to the error
//
// Units    SI; not-a-number is null in JSON
// Errors   OutputError; nothing half-written stays
// Checked  tests/sim/study/budget/budget_tables_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/study/budget/budget.h"
#include "sim/study/run/report.h"

namespace sim::budget {

std::string budget_json(const BudgetResult& result);
std::string budget_csv(const BudgetResult& result);
void seal(BudgetResult& result);
void write_budget(const BudgetResult& result, const std::filesystem::path& out,
                  output::Units units);
/// For a run's report: its section, its words and its files.
run::ReportExtra budget_extra(const BudgetResult& result, output::Units units);

}  // namespace sim::budget
