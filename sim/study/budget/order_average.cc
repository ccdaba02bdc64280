#include "sim/study/budget/order_average.h"

#include <algorithm>
#include <numeric>
#include <set>

#include "shared/check.h"
#include "sim/bench/random.h"

namespace sim::budget {
namespace {

Subset bit(int effect) { return Subset{1} << static_cast<unsigned>(effect); }
Subset all_of(int effects) { return bit(effects) - 1u; }

/// n!; once it exceeds `most`, some number above `most`.
long long orders_of(int effects, long long most) {
  long long orders = 1;
  for (int k = 2; k <= effects && orders <= most; ++k) orders *= k;
  return orders;
}

Order in_turn(int effects) {
  Order order(static_cast<std::size_t>(effects));
  std::iota(order.begin(), order.end(), 0);
  return order;
}

/// The shuffle of Fisher and Yates, with draws counted by pair and place.
Order shuffled(int effects, std::uint32_t pair, std::uint64_t rng_key) {
  const bench::RandomStream stream{.rng_key = rng_key, .row = pair};
  Order order = in_turn(effects);
  for (std::size_t left = order.size(); left > 1; --left) {
    const double draw_ratio = stream.uniform_ratio(bench::Purpose::kBudgetOrder, left);
    const auto at = static_cast<std::size_t>(draw_ratio * static_cast<double>(left));
    std::swap(order[left - 1], order[std::min(at, left - 1)]);
  }
  return order;
}

const std::vector<double>& of(const SubsetErrors& errors_m, Subset subset) {
  const auto found = errors_m.find(subset);
  EXPECTS(found != errors_m.end());
  return found->second;
}

std::vector<double> less(const std::vector<double>& a_m, const std::vector<double>& b_m) {
  EXPECTS(a_m.size() == b_m.size());
  std::vector<double> difference_m(a_m.size());
  for (std::size_t k = 0; k < a_m.size(); ++k) difference_m[k] = a_m[k] - b_m[k];
  return difference_m;
}

void add_share(std::vector<double>& sum_m, const std::vector<double>& step_m, double weight_ratio) {
  for (std::size_t k = 0; k < sum_m.size(); ++k) sum_m[k] += weight_ratio * step_m[k];
}

}  // namespace

std::vector<Order> effect_orders(int effects, int asked_for, std::uint64_t rng_key) {
  EXPECTS(effects >= 0 && effects <= kMostEffects && asked_for >= 2);
  std::vector<Order> orders;
  if (orders_of(effects, asked_for) <= asked_for) {
    Order order = in_turn(effects);
    do orders.push_back(order);
    while (std::next_permutation(order.begin(), order.end()));
    return orders;
  }
  for (std::uint32_t pair = 0; 2 * pair < static_cast<std::uint32_t>(asked_for); ++pair) {
    orders.push_back(shuffled(effects, pair, rng_key));
    orders.push_back(orders.back());
    std::reverse(orders.back().begin(), orders.back().end());
  }
  return orders;
}

bool are_all_orders(const std::vector<Order>& orders, int effects) {
  const auto count = static_cast<long long>(orders.size());
  return orders_of(effects, count) == count;
}

std::vector<Subset> subsets_of(const std::vector<Order>& orders, int effects) {
  std::set<Subset> subsets = {0, all_of(effects)};
  for (int effect = 0; effect < effects; ++effect) {
    subsets.insert(bit(effect));
    subsets.insert(all_of(effects) & ~bit(effect));
  }
  for (const Order& order : orders) {
    Subset subset = 0;
    for (const int effect : order) subsets.insert(subset |= bit(effect));
  }
  return {subsets.begin(), subsets.end()};
}

OrderAverage average_over_orders(const std::vector<Order>& orders, int effects,
                                 const SubsetErrors& errors_m) {
  EXPECTS(!orders.empty());
  const auto count = static_cast<std::size_t>(effects);
  const std::vector<double>& whole_m = of(errors_m, 0);
  const std::vector<std::vector<double>> nothing_m(count, std::vector<double>(whole_m.size(), 0.0));
  OrderAverage average;
  average.left_m = of(errors_m, all_of(effects));
  average.part_m = nothing_m;
  average.by_pair_m.assign((orders.size() + 1) / 2, nothing_m);
  for (std::size_t k = 0; k < orders.size(); ++k) {
    const bool alone = k + 1 == orders.size() && k % 2 == 0;
    Subset subset = 0;
    for (const int effect : orders[k]) {
      const auto step_m = less(of(errors_m, subset), of(errors_m, subset | bit(effect)));
      const auto index = static_cast<std::size_t>(effect);
      add_share(average.part_m[index], step_m, 1.0 / static_cast<double>(orders.size()));
      add_share(average.by_pair_m[k / 2][index], step_m, alone ? 1.0 : 0.5);
      subset |= bit(effect);
    }
  }
  for (int effect = 0; effect < effects; ++effect) {
    average.removed_m.push_back(less(whole_m, of(errors_m, bit(effect))));
    average.present_m.push_back(less(of(errors_m, all_of(effects) & ~bit(effect)), average.left_m));
  }
  return average;
}

}  // namespace sim::budget
