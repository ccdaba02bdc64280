#include <gtest/gtest.h>

#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <cstdint>
#include <vector>

#include "sim/measure/summary.h"
#include "sim/statistics/lower_bound.h"

namespace {

using sim::statistics::lower95_ratio;
using Counts = std::vector<long long>;

// A fixed generator for this test alone (Marsaglia 2003, xorshift64).
struct Draws {
  std::uint64_t state = 88172645463325252ull;
  double uniform() {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return static_cast<double>(state >> 11) * 0x1.0p-53;
  }
  long long successes(int trials, double share) {
    long long good = 0;
    for (int i = 0; i < trials; ++i) good += uniform() < share ? 1 : 0;
    return good;
  }
};

// Share of bounds that lie below the truth, when rows differ from each other by up to +-differ.
double coverage(int rows, int seeds, double truth, double differ) {
  Draws draws;
  const int runs = 2000;
  int held = 0;
  for (int run = 0; run < runs; ++run) {
    Counts good, total;
    for (int row = 0; row < rows; ++row) {
      const double share = truth + differ * (2.0 * draws.uniform() - 1.0);
      good.push_back(draws.successes(seeds, share));
      total.push_back(seeds);
    }
    held += lower95_ratio(good, total) <= truth ? 1 : 0;
  }
  return static_cast<double>(held) / runs;
}

// Bound from the clusters alone, with Boost's quantile: an independent way to the same figure.
double student_bound(const std::vector<double>& shares) {
  const double n = static_cast<double>(shares.size());
  double mean = 0.0, squares = 0.0;
  for (double s : shares) mean += s / n;
  for (double s : shares) squares += (s - mean) * (s - mean);
  const boost::math::students_t_distribution<double> t(n - 1.0);
  return mean - boost::math::quantile(t, 0.95) * std::sqrt(squares / (n - 1.0) / n);
}

}  // namespace

// 95 of 100 at z = 1.6449: (0.95 + 0.013528 - 0.038317)/1.027055 = 0.900839, by hand.
TEST(LowerBound, OneClusterHasWilsonsBound) {
  EXPECT_NEAR(lower95_ratio(Counts{95}, Counts{100}), 0.90084, 2e-5);
}

TEST(LowerBound, ClustersThatDifferHaveStudentsBound) {
  // Shares 0.90, 0.96, 0.99: mean 0.95, sd 0.045826, t(2) = 2.920: 0.95 - 0.077256 = 0.87274.
  EXPECT_NEAR(lower95_ratio(Counts{900, 960, 990}, Counts{1000, 1000, 1000}), 0.87274, 1e-5);
}

// The table and its continuation against Boost.Math, at every length from 2 to 200 clusters.
TEST(LowerBound, StudentsFactorIsTheLibrarys) {
  for (int clusters = 2; clusters <= 200; ++clusters) {
    Counts good, total;
    std::vector<double> shares;
    for (int c = 0; c < clusters; ++c) {
      good.push_back(c % 2 == 0 ? 600000 : 900000);
      total.push_back(1000000);
      shares.push_back(c % 2 == 0 ? 0.6 : 0.9);
    }
    // The table is rounded to 5e-4; the standard error here is 0.15/sqrt(clusters - 1) at most.
    EXPECT_NEAR(lower95_ratio(good, total), std::max(0.0, student_bound(shares)),
                6e-4 * 0.16 / std::sqrt(clusters - 1.0))
        << clusters;
  }
}

TEST(LowerBound, AllGoodIsNotCertainty) {
  // Student's t alone would say 1. Wilson for 300 of 300: 300/(300 + z^2) = 0.99106.
  EXPECT_NEAR(lower95_ratio(Counts{100, 100, 100}, Counts{100, 100, 100}), 0.99106, 1e-5);
}

TEST(LowerBound, ARowWithoutSensedSeedsSaysNothing) {
  EXPECT_EQ(lower95_ratio(Counts{95, 0}, Counts{100, 0}), lower95_ratio(Counts{95}, Counts{100}));
  EXPECT_TRUE(std::isnan(lower95_ratio(Counts{0}, Counts{0})));
  EXPECT_TRUE(std::isnan(lower95_ratio(Counts{}, Counts{})));
}

TEST(LowerBound, StaysWithinZeroAndTheShare) {
  EXPECT_EQ(lower95_ratio(Counts{0, 0}, Counts{50, 50}), 0.0);
  EXPECT_EQ(lower95_ratio(Counts{0, 50}, Counts{50, 50}), 0.0);  // two rows that contradict
}

// A 95 % bound lies below the truth in 95 % of the cases: 2000 runs have a standard error of 0.5 %.
TEST(LowerBound, CoversTheTruthWhereSeedsAreIndependent) {
  EXPECT_GE(coverage(40, 100, 0.95, 0.0), 0.935);
}

TEST(LowerBound, CoversTheTruthWhereRowsDiffer) {
  EXPECT_GE(coverage(8, 500, 0.95, 0.05), 0.935);
  // Pooled seeds taken as independent would not cover it: that is why the rows are clusters.
  Draws draws;
  int held = 0;
  for (int run = 0; run < 2000; ++run) {
    long long good = 0;
    for (int row = 0; row < 8; ++row)
      good += draws.successes(500, 0.95 + 0.05 * (2.0 * draws.uniform() - 1.0));
    held += lower95_ratio(Counts{good}, Counts{4000}) <= 0.95 ? 1 : 0;
  }
  EXPECT_LT(held / 2000.0, 0.90);
}
