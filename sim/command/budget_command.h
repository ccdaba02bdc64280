// What `run --budget` takes from `budget`.
//
// Errors   as sim/study/budget/budget.h
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <atomic>

#include "sim/command/command_words.h"
#include "sim/study/budget/budget.h"

namespace sim::command {

void add_order_option(CommandWords& words, int& orders);
/// The sealed budget of a scenario, with progress unless `quiet`.
budget::BudgetResult budget_of(const scenario::Scenario& scenario, int orders, bool quiet,
                               const std::atomic<bool>& stop);

}  // namespace sim::command
