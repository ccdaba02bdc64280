// The effects whose parts of the placement error the budget tells apart, and what the ideal of each
// is. Every effect is an edit of the scenario: all seeds, draws and faults that it does not name
// stay as they were, because every draw goes by key.
//
// Input    a scenario in SI      Output   the same with one effect at its ideal
// Errors   none
// Checked  tests/sim/study/budget/budget_effects_test.cc
#pragma once

#include <span>
#include <string_view>

#include "sim/scenario/scenario.h"

namespace sim::budget {

struct BudgetEffect {
  std::string_view key;    // column of budget.csv is KEY_m
  std::string_view name;   // "seed bounce"
  std::string_view ideal;  // what stands in its place
  bool modelled = true;    // false: no pass knows it; it is listed with 0 so that nobody misses it
  /// Whether this scenario has any of it. What it has none of has the part 0 without a pass.
  bool (*present)(const scenario::Scenario&) = nullptr;
  void (*make_ideal)(scenario::Scenario&) = nullptr;
};

/// The catalog, in the order of a seed's way.
std::span<const BudgetEffect> budget_effects();

}  // namespace sim::budget
