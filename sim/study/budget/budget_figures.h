// The figures of a budget from the parts of every seed: spreads, shares, interaction.
//
//   between rows   sd of the rows' means, divisor rows - 1
//   within rows    sqrt(sum (x - mean of its row)^2 / (seeds - rows))
//   covariance     divisor n - 1, like that of the sd
//
// Input    seeds and parts of a result      Output   its figures
// Errors   none; a figure that does not exist is not-a-number
// Checked  tests/sim/study/budget/budget_test.cc
#pragma once

#include <vector>

#include "sim/study/budget/budget.h"

namespace sim::budget {

/// Figures of one part, against the error of the same seeds.
PartFigures part_figures(const std::vector<double>& part_m, const std::vector<BudgetSeed>& seeds);
double covariance_m2(const std::vector<double>& a_m, const std::vector<double>& b_m);
Interaction interaction_of(const OrderAverage& average, const std::vector<BudgetSeed>& seeds);
/// Standard error of an effect's share of variance over the pairs of orders.
double order_error_ratio(const OrderAverage& average, std::size_t effect,
                         const std::vector<BudgetSeed>& seeds);

}  // namespace sim::budget
