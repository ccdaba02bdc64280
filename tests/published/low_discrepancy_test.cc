// Sobol points against the published directions, and what they are for: they come closer to an
// integral known in closed form, with as many points, than random points do.
//
// Source   S. Joe and F. Y. Kuo, Constructing Sobol sequences with better two-dimensional
//          projections, SIAM J. Sci. Comput. 30, 2008; first points in three dimensions as their
//          program prints them (from memory), two dimensions worked by hand below
#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <vector>

#include "sim/study/sweep/draws.h"
#include "sim/study/sweep/study.h"

namespace {

double ratio_of(std::uint32_t word) { return static_cast<double>(word) * 0x1p-32; }

TEST(Sobol, FirstTenPointsOfThreeDimensions) {
  const double table[10][3] = {{0.0, 0.0, 0.0},          {0.5, 0.5, 0.5},
                               {0.75, 0.25, 0.25},       {0.25, 0.75, 0.75},
                               {0.375, 0.375, 0.625},    {0.875, 0.875, 0.125},
                               {0.625, 0.125, 0.875},    {0.125, 0.625, 0.375},
                               {0.1875, 0.3125, 0.9375}, {0.6875, 0.8125, 0.4375}};
  const auto points = sim::sweep::sobol_points(3, 10);
  for (std::size_t i = 0; i < 10; ++i)
    for (std::size_t axis = 0; axis < 3; ++axis)
      EXPECT_EQ(ratio_of(points[i][axis]), table[i][axis]) << i << " " << axis;
}

// By hand, second dimension: polynomial x + 1, m1 = 1, m_k = 2 m_(k-1) xor m_(k-1): 1, 3, 5; so
// v1 = .1, v2 = .11, v3 = .101 in binary. Gray code: point n + 1 is point n xor v_c, c the place of
// the lowest zero of n: c = 1, 2, 1, 3. Hence 0, .1, .01, .11, .011 = 0, 1/2, 1/4, 3/4, 3/8.
TEST(Sobol, SecondDimensionByHand) {
  const std::uint32_t v1 = 1u << 31, v2 = 3u << 30, v3 = 5u << 29;
  const auto points = sim::sweep::sobol_points(2, 5);
  EXPECT_EQ(points[1][1], v1);
  EXPECT_EQ(points[2][1], v1 ^ v2);
  EXPECT_EQ(points[3][1], v1 ^ v2 ^ v1);
  EXPECT_EQ(points[4][1], v2 ^ v3);
}

sim::sweep::Study study_of(std::size_t axes, sim::scenario::Sampling sampling, int samples) {
  sim::sweep::Study study;
  study.rng_key = 77;
  study.sampling = sampling;
  study.samples = samples;
  for (std::size_t i = 0; i < axes; ++i) {
    study.axes.push_back({.key = "axis", .values = {}});
    study.axes.back().draw.shape = sim::scenario::DrawShape::kUniform;
    study.axes.back().draw.second_si = 1.0;
  }
  return study;
}

// The first two dimensions are a net: of 64 points each of the 64 boxes of any shape 2^-a by
// 2^-(6-a) holds exactly one, shifted or not.
TEST(Sobol, ShiftedPointsAreStillANet) {
  for (const std::size_t net : {0u, 1u, 5u}) {
    const auto shares_ratio = sim::sweep::drawn_shares_ratio(
        study_of(2, sim::scenario::Sampling::kLowDiscrepancy, 64), net);
    for (int a = 0; a <= 6; ++a) {
      std::set<std::pair<int, int>> boxes;
      for (const auto& point_ratio : shares_ratio)
        boxes.insert({static_cast<int>(point_ratio[0] * (1 << a)),
                      static_cast<int>(point_ratio[1] * (1 << (6 - a)))});
      EXPECT_EQ(boxes.size(), 64u) << net << " " << a;
    }
  }
}

// The integral of (2x)(2y)(2z) over the unit cube is 1. Root mean square error over 24 nets.
double error_ratio(sim::scenario::Sampling sampling, int samples) {
  double squares_ratio = 0.0;
  for (std::size_t net = 0; net < 24; ++net) {
    double sum_ratio = 0.0;
    for (const auto& point_ratio :
         sim::sweep::drawn_shares_ratio(study_of(3, sampling, samples), net))
      sum_ratio += 8.0 * point_ratio[0] * point_ratio[1] * point_ratio[2];
    const double miss_ratio = sum_ratio / samples - 1.0;
    squares_ratio += miss_ratio * miss_ratio / 24.0;
  }
  return std::sqrt(squares_ratio);
}

// Random points miss by sd / sqrt(n), sd^2 = (4/3)^3 - 1 = 37/27; from 32 to 2048 points that is a
// factor of 8. The error of a net falls nearly with 1/n: more than twice as much is required.
TEST(Sobol, MeetsAKnownIntegralFasterThanRandomPoints) {
  const double few_ratio = error_ratio(sim::scenario::Sampling::kRandom, 32);
  EXPECT_NEAR(few_ratio, std::sqrt(37.0 / 27.0 / 32.0), 0.4 * few_ratio);  // 24 nets: +- 15 %
  const double random_fall_ratio = few_ratio / error_ratio(sim::scenario::Sampling::kRandom, 2048);
  const double few_net_ratio = error_ratio(sim::scenario::Sampling::kLowDiscrepancy, 32);
  const double net_fall_ratio =
      few_net_ratio / error_ratio(sim::scenario::Sampling::kLowDiscrepancy, 2048);
  EXPECT_NEAR(random_fall_ratio, 8.0, 4.0);
  EXPECT_GT(net_fall_ratio, 20.0);
  EXPECT_LT(few_net_ratio, few_ratio);
}

// A shift removes the bias: over many nets the mean of (2x)(2y)(2z) is 1 within four errors of it.
TEST(Sobol, ShiftedNetsHaveNoBias) {
  double sum_ratio = 0.0;
  const int nets = 400, samples = 8;
  for (std::size_t net = 0; net < nets; ++net)
    for (const auto& point_ratio : sim::sweep::drawn_shares_ratio(
             study_of(3, sim::scenario::Sampling::kLowDiscrepancy, samples), net))
      sum_ratio += 8.0 * point_ratio[0] * point_ratio[1] * point_ratio[2];
  const double most_ratio = std::sqrt(37.0 / 27.0 / (nets * samples));  // as if at random
  EXPECT_NEAR(sum_ratio / (nets * samples), 1.0, 4.0 * most_ratio);
}

}  // namespace
