#include "model/seed/delivery.h"

#include <gtest/gtest.h>

#include <cmath>

#include "shared/units.h"

namespace {

using model::deliver;
using model::DeliveryKind;
using model::DeliveryParams;
using model::nominal_delivery_time_s;

constexpr double kG_mps2 = 9.80665;
constexpr double kEight_mps = 8.0 / 3.6;

DeliveryParams given_fall(double height_m, double entry_mps, double terminal_mps) {
  DeliveryParams params;
  params.kind = DeliveryKind::kGravity;
  params.height_m = height_m;
  params.entry_speed_mps = entry_mps;
  params.terminal_speed_mps = terminal_mps;
  return params;
}

double fall_s(double height_m, double entry_mps, double terminal_mps) {
  return nominal_delivery_time_s(given_fall(height_m, entry_mps, terminal_mps), 1.0);
}

// Mean and variance of the bounce over the normal distribution, by the midpoint rule.
struct BounceMoments {
  double mean_m = 0.0, sd_m = 0.0;
};
BounceMoments bounce_moments(const DeliveryParams& params, double speed_mps) {
  double first_m = 0.0, second_m2 = 0.0;
  const double step_ratio = 1e-3;
  for (double z = -9.0 + 0.5 * step_ratio; z < 9.0; z += step_ratio) {
    const double weight = std::exp(-0.5 * z * z) / std::sqrt(2.0 * shared::kPi_ratio) * step_ratio;
    const double bounce_m = deliver(params, speed_mps, 0.0, {0.0, z}).bounce_m;
    first_m += weight * bounce_m;
    second_m2 += weight * bounce_m * bounce_m;
  }
  return {first_m, std::sqrt(second_m2 - first_m * first_m)};
}

}  // namespace

// Source: (vt/g) acosh(exp(g h/vt^2)) worked for vt = 10 m/s, g = 9.80665 m/s2; maize falls at some
// 10 m/s (from memory). Given to 0.1 ms.
TEST(Delivery, FallFromRestTakesTheWorkedTimes) {
  EXPECT_NEAR(fall_s(0.400, 0.0, 10.0), 287.5e-3, 0.05e-3);
  EXPECT_NEAR(fall_s(0.500, 0.0, 10.0), 321.9e-3, 0.05e-3);
  EXPECT_NEAR(fall_s(0.600, 0.0, 10.0), 353.2e-3, 0.05e-3);
}

TEST(Delivery, WithoutDragItIsTheFreeFall) {
  EXPECT_NEAR(fall_s(0.4, 0.0, 1e7), std::sqrt(2.0 * 0.4 / kG_mps2), 1e-9);
  // With entry speed: h = u0 t + g t^2/2.
  const double t_s = fall_s(0.4, 1.5, 1e7);
  EXPECT_NEAR(1.5 * t_s + 0.5 * kG_mps2 * t_s * t_s, 0.4, 1e-9);
}

TEST(Delivery, DragCostsLessThanFourMillisecondsOverSeedTubeHeights) {
  for (double h_m = 0.1; h_m <= 0.6; h_m += 0.1) {
    const double cost_s = fall_s(h_m, 0.0, 10.0) - std::sqrt(2.0 * h_m / kG_mps2);
    EXPECT_GT(cost_s, 0.0);
    EXPECT_LT(cost_s, 4e-3);
  }
}

TEST(Delivery, AtTerminalSpeedTheFallIsEven) {
  EXPECT_NEAR(fall_s(0.5, 10.0, 10.0), 0.05, 1e-12);
  // Faster than terminal it slows down, but never below terminal speed.
  EXPECT_GT(fall_s(0.5, 12.0, 10.0), 0.5 / 12.0);
  EXPECT_LT(fall_s(0.5, 12.0, 10.0), 0.5 / 10.0);
}

TEST(Delivery, TwoFallsInARowAreOneFall) {
  // Speed after h from rest: vt sqrt(1 - exp(-2 g h/vt^2)), the energy balance of the same drag.
  const double middle_mps = 10.0 * std::sqrt(1.0 - std::exp(-2.0 * kG_mps2 * 0.2 / 100.0));
  EXPECT_NEAR(fall_s(0.2, 0.0, 10.0) + fall_s(0.3, middle_mps, 10.0), fall_s(0.5, 0.0, 10.0),
              1e-12);
}

TEST(Delivery, AGearedBeltTakesTheSameWayAtEverySpeed) {
  DeliveryParams belt;
  belt.path_m = 0.5;
  belt.gear_ratio = 1.25;
  // While the belt carries the seed the machine goes path/gear = 0.4 m, whatever its speed.
  for (double v_mps : {1.5, 3.0, 4.5})
    EXPECT_NEAR(nominal_delivery_time_s(belt, v_mps) * v_mps, 0.4, 1e-15);
  belt.kind = DeliveryKind::kConveyorTimed;
  belt.belt_speed_mps = 2.0;
  for (double v_mps : {1.5, 3.0, 4.5}) EXPECT_EQ(nominal_delivery_time_s(belt, v_mps), 0.25);
}

TEST(Delivery, AHigherSensorSeesTheSeedEarlier) {
  DeliveryParams belt;  // 5 mm at 4 m/s and gear 1: 1.25 ms
  EXPECT_NEAR(deliver(belt, 4.0, 5e-3, {}).time_s - deliver(belt, 4.0, 0.0, {}).time_s, 1.25e-3,
              1e-15);
  const DeliveryParams fall = given_fall(0.45, 0.0, 10.0);
  EXPECT_NEAR(deliver(fall, 4.0, 5e-3, {}).time_s, fall_s(0.455, 0.0, 10.0), 1e-15);
}

TEST(Delivery, ScatterIsTheDrawTimesItsSd) {
  DeliveryParams belt;
  const model::Delivered one = deliver(belt, 4.0, 0.0, {2.0, -1.5});
  EXPECT_NEAR(one.time_s - nominal_delivery_time_s(belt, 4.0), 0.6e-3, 1e-15);
  EXPECT_NEAR(one.bounce_m, -4.5e-3, 1e-15);
  EXPECT_EQ(model::mean_bounce_m(belt, 4.0), 0.0);
}

TEST(Delivery, NoSeedArrivesBeforeItWasSeen) {
  DeliveryParams belt;
  belt.path_m = 0.001;
  EXPECT_EQ(deliver(belt, 4.0, 0.0, {-5.0, 0.0}).time_s, 0.0);
}

TEST(Delivery, BounceGoesForwardOnly) {
  const DeliveryParams fall = given_fall(0.45, 0.0, 10.0);
  EXPECT_GT(deliver(fall, kEight_mps, 0.0, {0.0, -1.0}).bounce_m, 0.0);
  EXPECT_EQ(deliver(fall, kEight_mps, 0.0, {0.0, -1.0}).bounce_m,
            deliver(fall, kEight_mps, 0.0, {0.0, 1.0}).bounce_m);
}

TEST(Delivery, BounceHasTheStatedSdAtEightAndGrowsWithSpeed) {
  const DeliveryParams fall = given_fall(0.45, 0.0, 10.0);  // roll_scatter 15 mm
  const BounceMoments slow = bounce_moments(fall, kEight_mps);
  const BounceMoments fast = bounce_moments(fall, 2.0 * kEight_mps);
  EXPECT_NEAR(slow.sd_m, 15e-3, 1e-7);
  EXPECT_NEAR(fast.sd_m, 30e-3, 1e-7);
  EXPECT_NEAR(slow.mean_m, model::mean_bounce_m(fall, kEight_mps), 1e-7);
}
