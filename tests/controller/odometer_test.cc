#include "controller/odometer.h"

#include <gtest/gtest.h>

namespace {

using controller::Odometer;
using controller::RowMotion;

RowMotion moving(std::int32_t speed_umps, std::int32_t accel_umps2, std::uint32_t at_ticks) {
  RowMotion motion;
  motion.known = true;
  motion.speed_umps = speed_umps;
  motion.accel_umps2 = accel_umps2;
  motion.measured_ticks = at_ticks;
  return motion;
}

// 4 m/s for 1 s in ticks of 1 ms across the wrap: 4 m, to the picometre.
TEST(Odometer, SumsAcrossTheWrapWithoutLoss) {
  const std::uint32_t start = 0u - 500'000u;
  Odometer odometer{0, start};
  const RowMotion motion = moving(4'000'001, 0, start);
  for (std::uint32_t i = 1; i <= 1000; ++i) advance(odometer, motion, start + i * 1000);
  EXPECT_EQ(odometer.place_pm, std::int64_t{4'000'001} * 1'000'000);
}

// 4 m/s and 0.5 m/s2 for 0.2 s: 0.8 + 0.25 * 0.04 = 0.81 m; each tick's middle speed is rounded
// down by less than 1 um/s, so less than 0.2 um is lost.
TEST(Odometer, IsExactOnARamp) {
  Odometer odometer{0, 100};
  const RowMotion motion = moving(4'000'000, 500'000, 100);
  for (std::uint32_t i = 1; i <= 200; ++i) advance(odometer, motion, 100 + i * 1000);
  EXPECT_NEAR(static_cast<double>(odometer.place_pm) * 1e-12, 0.81, 0.2e-6);
  EXPECT_NEAR(static_cast<double>(place_ago_pm(odometer, motion, 200'000)) * 1e-12, 0.0, 0.3e-6);
}

TEST(Odometer, TimeBackwardsAddsNothing) {
  Odometer odometer{42, 10'000};
  advance(odometer, moving(4'000'000, 0, 10'000), 9'000);
  EXPECT_EQ(odometer.place_pm, 42);
  EXPECT_EQ(odometer.at_ticks, 9'000u);
}

TEST(Odometer, ALeapOfTimeAddsNothing) {
  Odometer odometer{42, 10'000};
  advance(odometer, moving(4'000'000, 0, 10'000), 10'000 + 1'000'001);
  EXPECT_EQ(odometer.place_pm, 42);
}

TEST(Odometer, AnUnknownSpeedAddsNothing) {
  Odometer odometer{42, 10'000};
  advance(odometer, RowMotion{}, 20'000);
  EXPECT_EQ(odometer.place_pm, 42);
}

// A seed's place has 32 bits of 8 nm: 2^32 of them are 34.36 m, and half of that is the way at
// which they can be told apart.
TEST(Odometer, ASeedsPlaceIsTakenRoundTheWrap) {
  constexpr std::int64_t kMetre_pm = 1'000'000'000'000;
  for (const std::int64_t from_pm : {-3 * kMetre_pm, std::int64_t{0}, 34 * kMetre_pm}) {
    for (const std::int64_t gone_pm : {-16 * kMetre_pm, std::int64_t{0}, 3 * kMetre_pm / 2}) {
      const Odometer odometer{from_pm + gone_pm, 0};
      EXPECT_NEAR(
          static_cast<double>(controller::gone_since_pm(odometer, controller::place_8nm(from_pm)) -
                              gone_pm),
          0.0, 8000.0);
    }
  }
}

}  // namespace
