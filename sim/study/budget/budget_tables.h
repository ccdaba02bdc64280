// The result files of a budget: summary.json, budget.csv, a page. Beside a run's files the first is
// named budget.json.
//
//   summary.json  schema "sillion.budget.1": the interaction first, then error, parts by share,
//                 seeds, orders, tuned, hashes
//   budget.csv    one line per seed that counts: row, seed, placement_error_m, one column KEY_m per
//                 part; the parts sum to the error
//
// Units    SI; not-a-number is null in JSON
// Errors   OutputError; no unfinished file is left
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
/// The budget's part of a run's report: its section, its words and its files.
run::ReportExtra budget_extra(const BudgetResult& result, output::Units units);

}  // namespace sim::budget
