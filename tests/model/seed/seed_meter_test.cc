#include "model/seed/seed_meter.h"

#include <gtest/gtest.h>

namespace {

using model::metered_slot;
using model::MeteredSlot;
using model::SeedMeterParams;

SeedMeterParams given_meter() {
  SeedMeterParams params;
  params.spacing_m = 0.20;
  params.scatter_ratio = 0.10;
  params.skips_ratio = 0.02;
  params.doubles_ratio = 0.03;
  params.double_gap_min_ratio = 0.1;
  params.double_gap_max_ratio = 0.3;
  return params;
}

}  // namespace

TEST(SeedMeter, WithoutScatterSeedsSitOnTheirSlots) {
  for (long long slot : {-3LL, 0LL, 7LL, 100000LL}) {
    const MeteredSlot one = metered_slot(given_meter(), slot, {0.5, 0.0, 0.5});
    EXPECT_EQ(one.seeds, 1);
    EXPECT_DOUBLE_EQ(one.x_at_sensor_m[0], static_cast<double>(slot) * 0.20);
  }
}

TEST(SeedMeter, TheKindFollowsTheDraw) {
  EXPECT_EQ(metered_slot(given_meter(), 1, {0.0, 0.0, 0.5}).seeds, 0);
  EXPECT_EQ(metered_slot(given_meter(), 1, {0.0199, 0.0, 0.5}).seeds, 0);
  EXPECT_EQ(metered_slot(given_meter(), 1, {0.0200, 0.0, 0.5}).seeds, 2);
  EXPECT_EQ(metered_slot(given_meter(), 1, {0.0499, 0.0, 0.5}).seeds, 2);
  EXPECT_EQ(metered_slot(given_meter(), 1, {0.0501, 0.0, 0.5}).seeds, 1);
}

TEST(SeedMeter, EvenDrawsGiveTheStatedShares) {
  int seeds[3] = {};
  for (int i = 0; i < 10000; ++i) {
    const double uniform_ratio = (i + 0.5) / 10000.0;
    ++seeds[metered_slot(given_meter(), i, {uniform_ratio, 0.0, 0.5}).seeds];
  }
  EXPECT_EQ(seeds[0], 200);
  EXPECT_EQ(seeds[2], 300);
  EXPECT_EQ(seeds[1], 9500);
}

TEST(SeedMeter, ScatterIsASdOfThePlace) {
  const MeteredSlot one = metered_slot(given_meter(), 5, {0.5, 1.5, 0.5});
  EXPECT_NEAR(one.x_at_sensor_m[0], 5 * 0.20 + 1.5 * 0.02, 1e-15);
}

TEST(SeedMeter, SlotsKeepTheirOrderAtAnyScatter) {
  SeedMeterParams wild = given_meter();
  wild.scatter_ratio = 2.0;
  const MeteredSlot late = metered_slot(wild, 4, {0.5, 6.0, 0.5});
  const MeteredSlot early = metered_slot(wild, 5, {0.5, -6.0, 0.5});
  EXPECT_LE(late.x_at_sensor_m[0], early.x_at_sensor_m[0]);
}

TEST(SeedMeter, TheSecondOfADoubleFollowsWithinTheStatedGap) {
  // 0.1 to 0.3 of 200 mm: 20 to 60 mm behind the first, midway for a middle draw.
  const auto gap_m = [](double draw_ratio) {
    const MeteredSlot two = metered_slot(given_meter(), 3, {0.03, 0.7, draw_ratio});
    return two.x_at_sensor_m[1] - two.x_at_sensor_m[0];
  };
  EXPECT_NEAR(gap_m(0.0), 0.020, 1e-15);
  EXPECT_NEAR(gap_m(0.5), 0.040, 1e-15);
  EXPECT_NEAR(gap_m(1.0), 0.060, 1e-15);
}
