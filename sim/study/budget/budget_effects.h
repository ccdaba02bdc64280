// The effects whose parts of the placement error the budget separates, and the ideal of each. Every
// effect is an edit of the scenario: all seeds, draws and faults that the edit does not concern
// stay the same, because every draw goes by key.
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
  std::string_view ideal;  // the ideal in words
  bool modelled = true;    // false: the bench does not model it, and it is listed with 0
  /// Whether the scenario has this effect. If not, its part is 0 and needs no pass.
  bool (*present)(const scenario::Scenario&) = nullptr;
  void (*make_ideal)(scenario::Scenario&) = nullptr;
};

/// The catalog, in the order of a seed's way.
std::span<const BudgetEffect> budget_effects();

}  // namespace sim::budget
