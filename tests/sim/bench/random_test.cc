#include "sim/bench/random.h"

#include <Random123/philox.h>
#include <gtest/gtest.h>

#include <cmath>

namespace {

using sim::bench::Purpose;
using sim::bench::RandomStream;

// Source: known-answer vectors of the Random123 distribution (kat_vectors, philox4x32 10), from
// memory.
TEST(Random, PhiloxGivesItsKnownAnswer) {
  const auto drawn = r123::Philox4x32{}({{0, 0, 0, 0}}, {{0, 0}});
  EXPECT_EQ(drawn[0], 0x6627e8d5u);
  EXPECT_EQ(drawn[1], 0xe169c58du);
  EXPECT_EQ(drawn[2], 0xbc57ac4cu);
  EXPECT_EQ(drawn[3], 0x9b00dbd8u);
}

// Moments of the standard normal: 0, 1, 0, 3. With 1e5 draws their standard errors are .003, .0045,
// .008, .03.
TEST(Random, NormalDrawsHaveTheMomentsOfANormal) {
  const RandomStream stream{.rng_key = 42, .row = 3};
  double sums[5] = {};
  constexpr int kDraws = 100'000;
  for (int k = 0; k < kDraws; ++k) {
    const double z = stream.normal_ratio(Purpose::kSensorJitter, static_cast<std::uint64_t>(k));
    for (int power = 1; power <= 4; ++power) sums[power] += std::pow(z, power);
  }
  EXPECT_NEAR(sums[1] / kDraws, 0.0, 0.013);
  EXPECT_NEAR(sums[2] / kDraws, 1.0, 0.018);
  EXPECT_NEAR(sums[3] / kDraws, 0.0, 0.04);
  EXPECT_NEAR(sums[4] / kDraws, 3.0, 0.13);
}

TEST(Random, UniformDrawsFillTheUnitIntervalEvenly) {
  const RandomStream stream{.rng_key = 7};
  int counts[10] = {};
  for (std::uint64_t k = 0; k < 100'000; ++k) {
    const double u = stream.uniform_ratio(Purpose::kMeterKind, k);
    ASSERT_GE(u, 0.0);
    ASSERT_LT(u, 1.0);
    ++counts[static_cast<int>(u * 10.0)];
  }
  // five standard deviations of a binomial count
  for (const int count : counts) EXPECT_NEAR(count, 10'000, 5 * 95);
}

TEST(Random, RowsPurposesPassesAndKeysDoNotShareDraws) {
  const RandomStream base{.rng_key = 1, .row = 0, .pass = 0};
  const double value = base.uniform_ratio(Purpose::kRestPlace, 5);
  EXPECT_EQ(value, base.uniform_ratio(Purpose::kRestPlace, 5));
  EXPECT_NE(value, base.uniform_ratio(Purpose::kRestPlace, 6));
  EXPECT_NE(value, base.uniform_ratio(Purpose::kDeliveryTime, 5));
  EXPECT_NE(value, (RandomStream{.rng_key = 1, .row = 1}.uniform_ratio(Purpose::kRestPlace, 5)));
  EXPECT_NE(value, (RandomStream{.rng_key = 1, .row = 0, .pass = 1}.uniform_ratio(
                       Purpose::kRestPlace, 5)));
  EXPECT_NE(value, (RandomStream{.rng_key = 2}.uniform_ratio(Purpose::kRestPlace, 5)));
}

TEST(Random, TheFirstReplicaIsTheScenarioItself) {
  EXPECT_EQ(sim::bench::replica_key(4242, 0), 4242u);
  EXPECT_NE(sim::bench::replica_key(4242, 1), sim::bench::replica_key(4242, 2));
}

}  // namespace
