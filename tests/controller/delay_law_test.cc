#include "controller/delay_law.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::DelayLaw;
using controller::Odometer;
using controller::RowMotion;
using controller::Seed;

RowMotion moving(std::int32_t speed_umps, std::int32_t accel_umps2 = 0) {
  RowMotion motion;
  motion.known = true;
  motion.speed_umps = speed_umps;
  motion.accel_umps2 = accel_umps2;
  motion.measured_ticks = 1'000'000;
  return motion;
}

// B0 = 75, B = 50 mm: the band's centre stays, so the opening comes (75 - 50)/2 = 12.5 mm later:
// 12.5 mm at 4 m/s = 3.125 ms. D = 20 + 50 + 3.125 = 73.125 ms.
TEST(DelayLaw, ShorterBandOpensLater) {
  sillion_config config = test::row_config();
  config.band_length_um = 50'000;
  const DelayLaw law = controller::delay_law_for(config, 4000, 3000);
  EXPECT_EQ(controller::steady_delay_us(law, 4'000'000), 73'125);
}

// B = 100 mm: 12.5 mm earlier. D = 70 - 3.125 = 66.875 ms.
TEST(DelayLaw, LongerBandOpensEarlier) {
  sillion_config config = test::row_config();
  config.band_length_um = 100'000;
  const DelayLaw law = controller::delay_law_for(config, 4000, 3000);
  EXPECT_EQ(controller::steady_delay_us(law, 4'000'000), 66'875);
}

// T_lead 5.5 ms against the reference 4 ms: 1.5 ms earlier. D = 70 - 1.5.
TEST(DelayLaw, LongerLeadOpensEarlier) {
  const DelayLaw law = controller::delay_law_for(test::row_config(), 5500, 3000);
  EXPECT_EQ(controller::steady_delay_us(law, 4'000'000), 68'500);
}

// A trim of 8 mm forward opens 2 ms later at 4 m/s.
TEST(DelayLaw, TrimMovesTheBandForward) {
  sillion_config config = test::row_config();
  config.trim_um = 8000;
  EXPECT_EQ(controller::steady_delay_us(controller::delay_law_for(config, 4000, 3000), 4'000'000),
            72'000);
}

// Lead 4, lag 2.5 ms at 16 km/h: T_on = 16.875 + 1.5 ms. (With the lag ignored the band would be
// 6.7 mm short, as the domain's worked example has it: 1.5 ms * 4.444 m/s.)
TEST(DelayLaw, OnTimeHasLeadAndLagInIt) {
  const DelayLaw law = controller::delay_law_for(test::row_config(), 4000, 2500);
  const Seed seed{1'000'000, 0, 0, 0};
  const Odometer odometer{0, 1'000'000};
  const controller::Firing firing = controller::firing_of(seed, law, odometer, moving(4'444'444));
  EXPECT_NEAR(firing.close_in_us - firing.open_in_us, 18'375, 2);
  EXPECT_NEAR(firing.open_in_us, 65'000, 2);
}

// 10 mm at 4 m/s is 2.5 ms, + 1 ms = 3.5; the valve needs 4.5: half a millisecond more at each end.
TEST(DelayLaw, ShortPulseIsLengthenedAboutItsCentre) {
  sillion_config config = test::row_config();
  config.band_length_um = 10'000;
  config.attachment.reference_band_um = 10'000;
  config.attachment.shortest_on_us = 4500;
  const DelayLaw law = controller::delay_law_for(config, 4000, 3000);
  const Seed seed{1'000'000, 0, 0, 0};
  const controller::Firing firing =
      controller::firing_of(seed, law, Odometer{0, 1'000'000}, moving(4'000'000));
  EXPECT_EQ(firing.open_in_us, 70'000 - 500);
  EXPECT_EQ(firing.close_in_us, 70'000 + 3500 + 500);
}

// x = v t + a t^2/2 with v = 4 m/s, a = 0.5 m/s2, t = 0.1 s: 0.4025 m.
TEST(DelayLaw, TravelTimeFollowsTheRamp) {
  EXPECT_NEAR(controller::travel_time_us(402'500, 4'000'000, 500'000), 100'000, 1);
  EXPECT_EQ(controller::travel_time_us(400'000, 4'000'000, 0), 100'000);
  EXPECT_EQ(controller::travel_time_us(-400'000, 4'000'000, 0), -100'000);
}

// For any input the result stays within half a counter range (2147 s).
TEST(DelayLaw, GarbageStaysBounded) {
  for (const std::int64_t distance :
       {std::int64_t{-9'000'000'000}, std::int64_t{0}, std::int64_t{9'000'000'000}}) {
    for (const std::int32_t speed : {INT32_MIN, -1, 0, 1, INT32_MAX}) {
      for (const std::int32_t accel : {-5'000'000, 0, 5'000'000}) {
        const std::int32_t time_us = controller::travel_time_us(distance, speed, accel);
        EXPECT_LE(time_us, 200'000'000);
        EXPECT_GE(time_us, -200'000'000);
      }
    }
  }
}

// Steady speed and a seed whose delivery time has passed give the same instant as one whose has
// not.
TEST(DelayLaw, PlacingASeedChangesNothingAtSteadySpeed) {
  const DelayLaw law = controller::delay_law_for(test::row_config(), 4000, 3000);
  const RowMotion motion = moving(4'000'000);
  Seed seed{1'000'000, 0, 0, 0};
  Odometer odometer{0, 1'000'000};
  const std::int32_t from_start = controller::firing_of(seed, law, odometer, motion).open_in_us;
  for (int tick = 0; tick < 40; ++tick) {
    advance(odometer, motion, odometer.at_ticks + 1000);
    place_seed(seed, law, odometer, motion);
  }
  EXPECT_TRUE(seed.placed);
  EXPECT_NEAR(controller::firing_of(seed, law, odometer, motion).open_in_us, from_start - 40'000,
              1);
}

}  // namespace
