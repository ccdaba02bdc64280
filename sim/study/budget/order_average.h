// Parts of a whole by replacing effects one after the other, averaged over orders.
//
//   v(S) is the error of one seed with the effects of the set S at their ideal. Along one order
//   part_i = v(S) - v(S + i), where S is the set of effects replaced before i. The steps telescope,
//   so the parts of every order, and their mean over orders, sum to v(none) - v(all).
//   Over all n! orders the mean is Shapley's value: the part of an effect does not depend on how
//   the effects are listed. If there are more orders than were asked for, random ones are taken,
//   each with its reverse: an effect that is early in one is late in the other, which removes
//   interactions of second order exactly.
//   removed_i = v(none) - v(i)        present_i = v(all but i) - v(all)
//   Where effects do not interact, all three agree and each sum gives the whole.
//
// Shapes   a subset is a bit mask, bit i set: effect i at its ideal; errors by seed, same order for
//          every subset
// Errors   EXPECTS at most 20 effects, at least 2 orders, a value for every subset that is needed
// Source   L. S. Shapley, A value for n-person games, 1953; reversed pairs: J. Castro et al.,
//          Computers and Operations Research 36, 2009, on sampling by orders (both from memory)
// Checked  tests/sim/study/budget/order_average_test.cc
#pragma once

#include <cstdint>
#include <map>
#include <vector>

namespace sim::budget {

using Subset = std::uint32_t;
using Order = std::vector<int>;
using SubsetErrors = std::map<Subset, std::vector<double>>;  // metres, by seed

inline constexpr int kMostEffects = 20;

/// All orders of the effects if these are no more than were asked for; otherwise random ones in
/// pairs, each followed by its reverse, and an odd number is rounded up.
std::vector<Order> effect_orders(int effects, int asked_for, std::uint64_t rng_key);

/// Whether these are all possible orders, so that nothing was sampled.
bool are_all_orders(const std::vector<Order>& orders, int effects);

/// Every subset along the orders, and those with one effect replaced or one left. Rising.
std::vector<Subset> subsets_of(const std::vector<Order>& orders, int effects);

struct OrderAverage {
  // by effect, then by seed; metres
  std::vector<std::vector<double>> part_m;
  std::vector<std::vector<double>> removed_m;
  std::vector<std::vector<double>> present_m;
  // by pair of orders, then by effect, then by seed: shows how well the orders agree
  std::vector<std::vector<std::vector<double>>> by_pair_m;
  std::vector<double> left_m;  // v(all): what remains with every effect at its ideal
};

OrderAverage average_over_orders(const std::vector<Order>& orders, int effects,
                                 const SubsetErrors& errors_m);

}  // namespace sim::budget
