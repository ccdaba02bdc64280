// Parts over orders on errors that are written down here, so that every part can be worked by hand.
//
// Outside anchor: Shapley's value by its own formula, sum over S of |S|! (n - |S| - 1)!/n! times
// the marginal gain (L. S. Shapley, A value for n-person games, 1953; from memory).
#include "sim/study/budget/order_average.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "sim/statistics/spread.h"
#include "sim/study/budget/budget_figures.h"

namespace {

using sim::budget::Order;
using sim::budget::Subset;
using Toy = std::function<double(Subset, int seed)>;

constexpr int kSeeds = 200;

/// Uncorrelated numbers of mean 0, sd 1 over a whole number of turns: cosines of two frequencies.
double wave(int frequency, int seed) {
  return std::sqrt(2.0) * std::cos(2.0 * M_PI * frequency * (seed + 0.5) / kSeeds);
}
bool present(Subset ideal, int effect) { return (ideal >> effect & 1u) == 0; }

struct Averaged {
  sim::budget::OrderAverage average;
  std::vector<sim::budget::BudgetSeed> seeds;
};

Averaged average_of(const Toy& toy, int effects, int asked_for = 8, std::uint64_t key = 1) {
  const auto orders = sim::budget::effect_orders(effects, asked_for, key);
  sim::budget::SubsetErrors errors_m;
  for (const Subset subset : sim::budget::subsets_of(orders, effects))
    for (int seed = 0; seed < kSeeds; ++seed) errors_m[subset].push_back(toy(subset, seed));
  Averaged made{sim::budget::average_over_orders(orders, effects, errors_m), {}};
  for (int seed = 0; seed < kSeeds; ++seed)
    made.seeds.push_back({.row = seed % 4, .seed = seed, .placement_error_m = toy(0, seed)});
  return made;
}

double factorial(int n) { return n < 2 ? 1.0 : n * factorial(n - 1); }

/// Part of an effect by Shapley's formula; a coalition is what was made ideal before.
double shapley(const Toy& toy, int effects, int effect, int seed) {
  double sum = 0.0;
  for (Subset before = 0; before < (1u << effects); ++before) {
    if (!present(before, effect)) continue;
    const int size = __builtin_popcount(before);
    sum += factorial(size) * factorial(effects - size - 1) / factorial(effects) *
           (toy(before, seed) - toy(before | 1u << effect, seed));
  }
  return sum;
}

/// Four effects that interact in every way: products of two, three and four, and a square root.
double meddling(Subset ideal, int seed) {
  const double a = present(ideal, 0) ? wave(3, seed) : 0.0;
  const double b = present(ideal, 1) ? 0.5 + wave(7, seed) : 0.2;
  const double c = present(ideal, 2) ? wave(11, seed) : 0.0;
  const double d = present(ideal, 3) ? 2.0 : 1.0;
  return a + 0.7 * a * b + b * c * d - 0.3 * a * b * c * d + std::sqrt(d + b * b) + 0.1;
}

// By hand: e = 3 w1 + 4 w2 with w uncorrelated, sd 1. Parts are 3 w1 and 4 w2, variances 9 + 16 =
// 25, shares 9/25 and 16/25, no remainder.
TEST(OrderAverage, TwoIndependentEffectsAddInVariance) {
  const Toy toy = [](Subset ideal, int seed) {
    return (present(ideal, 0) ? 3.0 * wave(3, seed) : 0.0) +
           (present(ideal, 1) ? 4.0 * wave(7, seed) : 0.0);
  };
  const Averaged made = average_of(toy, 2);
  const auto first = sim::budget::part_figures(made.average.part_m[0], made.seeds);
  const auto second = sim::budget::part_figures(made.average.part_m[1], made.seeds);
  EXPECT_NEAR(second.sd_m / first.sd_m, 4.0 / 3.0, 1e-9);
  EXPECT_NEAR(first.variance_share_ratio, 9.0 / 25.0, 1e-9);
  EXPECT_NEAR(second.variance_share_ratio, 16.0 / 25.0, 1e-9);
  const sim::budget::Interaction interaction =
      sim::budget::interaction_of(made.average, made.seeds);
  EXPECT_NEAR(interaction.larger_ratio(), 0.0, 1e-12);
  EXPECT_TRUE(interaction.trusted());
}

// The firmware follows b by distance: where speed is misread by a share z1 and b is off by a share
// z2, the error left is their product. By hand: e = z1 z2 vanishes with either effect, so each
// single part removed is all of e and their sum is 2 e: remainder r = e - 2 e, var(r)/var(e) = 1.
// With either alone present nothing is left: r = e, the same share. Each effect's part is half of
// e.
TEST(OrderAverage, AProductOfTwoEffectsIsAllInteraction) {
  const Toy toy = [](Subset ideal, int seed) {
    return present(ideal, 0) && present(ideal, 1) ? wave(3, seed) * wave(7, seed) : 0.0;
  };
  const Averaged made = average_of(toy, 2);
  const sim::budget::Interaction interaction =
      sim::budget::interaction_of(made.average, made.seeds);
  EXPECT_NEAR(interaction.removed_ratio, 1.0, 1e-9);
  EXPECT_NEAR(interaction.present_ratio, 1.0, 1e-9);
  EXPECT_FALSE(interaction.trusted());
  for (int seed = 0; seed < kSeeds; ++seed)
    EXPECT_NEAR(made.average.part_m[0][static_cast<std::size_t>(seed)], 0.5 * toy(0, seed), 1e-12);
}

// e = w1 + k w1' w2' where the product has the share s = k^2/(1 + k^2): just below and just above
// the limit of 20 %, that is k = 0.5. The product has variance 1, as its waves do not share a
// frequency.
TEST(OrderAverage, TheLimitOfTheInteractionIsAFifth) {
  for (const auto& [k, trusted] : {std::pair{0.49, true}, std::pair{0.51, false}}) {
    const Toy toy = [k = k](Subset ideal, int seed) {
      const double product =
          present(ideal, 1) && present(ideal, 2) ? wave(7, seed) * wave(11, seed) : 0.0;
      return (present(ideal, 0) ? wave(3, seed) : 0.0) + k * product;
    };
    const Averaged made = average_of(toy, 3);
    const sim::budget::Interaction interaction =
        sim::budget::interaction_of(made.average, made.seeds);
    EXPECT_NEAR(interaction.larger_ratio(), k * k / (1.0 + k * k), 1e-9);
    EXPECT_EQ(interaction.trusted(), trusted) << k;
  }
}

TEST(OrderAverage, AllOrdersGiveShapleysValue) {
  const Averaged made = average_of(meddling, 4, 24);
  for (int effect = 0; effect < 4; ++effect)
    for (const int seed : {0, 17, 101})
      EXPECT_NEAR(
          made.average.part_m[static_cast<std::size_t>(effect)][static_cast<std::size_t>(seed)],
          shapley(meddling, 4, effect, seed), 1e-12)
          << effect << " " << seed;
}

TEST(OrderAverage, WithAllOrdersTheListingOfTheEffectsDoesNotMatter) {
  constexpr int kNewPlace[4] = {2, 0, 3, 1};
  const Toy listed_otherwise = [&](Subset ideal, int seed) {
    Subset as_before = 0;
    for (int effect = 0; effect < 4; ++effect)
      if (!present(ideal, kNewPlace[effect])) as_before |= 1u << effect;
    return meddling(as_before, seed);
  };
  const Averaged before = average_of(meddling, 4, 24);
  const Averaged after = average_of(listed_otherwise, 4, 24);
  for (std::size_t effect = 0; effect < 4; ++effect)
    for (std::size_t seed = 0; seed < kSeeds; ++seed)
      EXPECT_NEAR(before.average.part_m[effect][seed],
                  after.average.part_m[static_cast<std::size_t>(kNewPlace[effect])][seed], 1e-12);
}

TEST(OrderAverage, PartsSumToTheErrorOfEverySeedWhateverTheOrders) {
  for (const int orders : {2, 6, 24}) {
    const Averaged made = average_of(meddling, 4, orders);
    for (int seed = 0; seed < kSeeds; ++seed) {
      const auto at = static_cast<std::size_t>(seed);
      double sum = made.average.left_m[at];
      for (const auto& part_m : made.average.part_m) sum += part_m[at];
      EXPECT_NEAR(sum, meddling(0, seed), 1e-12) << orders;
    }
  }
}

// Where effects interact only in pairs, one order and its reverse give Shapley's value: each effect
// of a pair comes first in one of the two.
TEST(OrderAverage, AnOrderAndItsReverseAreExactForEffectsThatMeddleInTwos) {
  const Toy in_twos = [](Subset ideal, int seed) {
    double sum = 0.0;
    for (int i = 0; i < 6; ++i)
      for (int j = i; j < 6; ++j)
        if (present(ideal, i) && present(ideal, j))
          sum += wave(3 + i, seed) * wave(5 + 2 * j, seed);
    return sum;
  };
  const Averaged made = average_of(in_twos, 6, 2);
  for (int effect = 0; effect < 6; ++effect)
    EXPECT_NEAR(made.average.part_m[static_cast<std::size_t>(effect)][33],
                shapley(in_twos, 6, effect, 33), 1e-12);
}

TEST(OrderAverage, OrdersComeInReversedPairsAndFromTheKeyAlone) {
  const auto orders = sim::budget::effect_orders(12, 8, 7);
  ASSERT_EQ(orders.size(), 8u);
  EXPECT_FALSE(sim::budget::are_all_orders(orders, 12));
  for (std::size_t k = 0; k < orders.size(); k += 2) {
    EXPECT_TRUE(std::equal(orders[k].begin(), orders[k].end(), orders[k + 1].rbegin()));
    Order sorted = orders[k];
    std::sort(sorted.begin(), sorted.end());
    for (int effect = 0; effect < 12; ++effect)
      EXPECT_EQ(sorted[static_cast<std::size_t>(effect)], effect);
  }
  EXPECT_EQ(orders, sim::budget::effect_orders(12, 8, 7));
  EXPECT_NE(orders, sim::budget::effect_orders(12, 8, 8));
  EXPECT_EQ(sim::budget::effect_orders(12, 5, 7).size(), 6u);  // whole pairs
}

TEST(OrderAverage, FewEffectsAreReplacedInEveryOrderThereIs) {
  EXPECT_EQ(sim::budget::effect_orders(0, 8, 1).size(), 1u);
  EXPECT_EQ(sim::budget::effect_orders(1, 8, 1).size(), 1u);
  EXPECT_EQ(sim::budget::effect_orders(3, 8, 1).size(), 6u);
  EXPECT_TRUE(sim::budget::are_all_orders(sim::budget::effect_orders(3, 8, 1), 3));
  EXPECT_EQ(sim::budget::subsets_of(sim::budget::effect_orders(3, 8, 1), 3).size(), 8u);  // 2^3
}

// By hand: rows 0 and 1 with the parts {1, 3} and {5, 7}: means 2 and 6, sd between sqrt(8), within
// sqrt((1 + 1 + 1 + 1)/2) = sqrt(2), of all sqrt((9 + 1 + 1 + 9)/3).
TEST(BudgetFigures, SplitTheSpreadIntoBetweenAndWithinRows) {
  const std::vector<sim::budget::BudgetSeed> seeds = {
      {0, 0, 2.0}, {0, 1, 6.0}, {1, 0, 10.0}, {1, 1, 14.0}};
  const auto figures = sim::budget::part_figures({1.0, 3.0, 5.0, 7.0}, seeds);
  EXPECT_NEAR(figures.mean_m, 4.0, 1e-12);
  EXPECT_NEAR(figures.sd_m, std::sqrt(20.0 / 3.0), 1e-12);
  EXPECT_NEAR(figures.sd_between_rows_m, std::sqrt(8.0), 1e-12);
  EXPECT_NEAR(figures.sd_within_rows_m, std::sqrt(2.0), 1e-12);
  EXPECT_NEAR(figures.variance_share_ratio, 0.5, 1e-12);  // half of every error
  EXPECT_NEAR(figures.error_share_ratio, 0.5, 1e-12);
}

}  // namespace
