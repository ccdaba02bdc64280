#include "model/machine/speed_signal.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/machine/supply.h"

namespace {

using model::lagged_motion_at;
using model::make_speed_signal;
using model::make_travel;
using model::speed_sample;
using model::SpeedSignal;
using model::SpeedSignalParams;
using model::Travel;

SpeedSignalParams given_lag(double lag_s) {
  SpeedSignalParams params;
  params.lag_s = lag_s;
  return params;
}

}  // namespace

TEST(SpeedSignal, SteadySpeedIsSeenAsItIs) {
  const SpeedSignal signal = make_speed_signal(make_travel({{0.0, 3.0, 0.1}}), given_lag(0.3));
  for (double time_s : {-1.0, 0.0, 5.0, 100.0}) {
    EXPECT_DOUBLE_EQ(lagged_motion_at(signal, time_s).speed_mps, 3.0);
    EXPECT_DOUBLE_EQ(lagged_motion_at(signal, time_s).yaw_rate_radps, 0.1);
  }
}

// Textbook: after a step a first-order lag has done 1 - 1/e = 63.2 % after one time constant.
TEST(SpeedSignal, AfterAStepItIsOneTimeConstantLate) {
  const SpeedSignal signal = make_speed_signal(
      make_travel({{0.0, 2.0, 0.0}, {1.0, 2.0, 0.0}, {1.0, 4.0, 0.0}}), given_lag(0.3));
  EXPECT_DOUBLE_EQ(lagged_motion_at(signal, 1.0).speed_mps, 2.0);
  EXPECT_NEAR(lagged_motion_at(signal, 1.3).speed_mps, 2.0 + 2.0 * (1.0 - std::exp(-1.0)), 1e-12);
  EXPECT_NEAR(lagged_motion_at(signal, 9.0).speed_mps, 4.0, 1e-10);
}

// Textbook: on a ramp it settles to the true value of one lag ago: 0.5 m/s2 * 0.3 s = 0.15 m/s
// short.
TEST(SpeedSignal, OnARampItLagsByAccelerationTimesLag) {
  const SpeedSignal signal =
      make_speed_signal(make_travel({{0.0, 2.0, 0.0}, {6.0, 5.0, 0.0}}), given_lag(0.3));
  EXPECT_NEAR(lagged_motion_at(signal, 5.0).speed_mps, 4.5 - 0.15, 1e-6);
}

// The closed form against the differential equation itself, in small explicit midpoint steps.
TEST(SpeedSignal, ClosedFormSolvesItsEquation) {
  const Travel travel = make_travel(
      {{0.0, 3.0, 0.0}, {1.0, 4.0, 0.2}, {1.5, 2.0, -0.1}, {1.5, 3.5, 0.0}, {2.5, 3.0, 0.1}});
  const SpeedSignal signal = make_speed_signal(travel, given_lag(0.25));
  const double step_s = 1e-5;
  double y_mps = 3.0;
  for (int i = 0; i < 300000; ++i) {
    const double middle_mps = model::motion_at(travel, (i + 0.5) * step_s).speed_mps;
    y_mps += (middle_mps - y_mps) * (step_s / 0.25) * (1.0 - 0.5 * step_s / 0.25);
    if (i % 50000 == 49999) {
      EXPECT_NEAR(lagged_motion_at(signal, (i + 1) * step_s).speed_mps, y_mps, 1e-7);
    }
  }
}

TEST(SpeedSignal, CourseLagsByYawRateTimesLag) {
  // Steady turn at 0.1 rad/s from the start: the course signal trails by 0.1 * 0.3 rad for ever.
  const SpeedSignal signal = make_speed_signal(make_travel({{0.0, 3.0, 0.1}}), given_lag(0.3));
  EXPECT_NEAR(lagged_motion_at(signal, 4.0).course_rad, 0.4 - 0.03, 1e-12);
}

TEST(SpeedSignal, WithoutLagItIsTheTruth) {
  const SpeedSignal signal =
      make_speed_signal(make_travel({{0.0, 2.0, 0.0}, {6.0, 5.0, 0.3}}), given_lag(0.0));
  EXPECT_DOUBLE_EQ(lagged_motion_at(signal, 3.0).speed_mps, 3.5);
  EXPECT_DOUBLE_EQ(lagged_motion_at(signal, 3.0).yaw_rate_radps, 0.15);
}

TEST(SpeedSignal, SamplesComeInWholeStepsOfTheFrame) {
  SpeedSignalParams params = given_lag(0.0);
  params.period_s = 0.5;
  params.speed_noise_mps = 0.02;
  params.speed_quantum_mps = 0.01;
  const SpeedSignal signal =
      make_speed_signal(make_travel({{0.0, 2.0, 0.0}, {10.0, 4.0, 0.0}}), params);
  const model::SpeedReading third = speed_sample(signal, 3, 1.2);  // at 1.5 s: 2.3 + 0.024
  EXPECT_DOUBLE_EQ(third.taken_s, 1.5);
  EXPECT_NEAR(third.speed_mps, 2.32, 1e-12);
  EXPECT_NEAR(speed_sample(signal, 3, -0.2).speed_mps, 2.30, 1e-12);  // 2.296 rounds up
}

TEST(Regulator, FollowsItsSetPointByTheLagWhateverTheStep) {
  const model::Regulator regulator{0.2e5, 5e5, 0.2};
  const double once_pa = model::regulated_pa(1e5, 3e5, 0.1, regulator);
  EXPECT_NEAR(once_pa, 3e5 - 2e5 * std::exp(-0.5), 1e-6);
  const double half_pa = model::regulated_pa(1e5, 3e5, 0.05, regulator);
  EXPECT_NEAR(model::regulated_pa(half_pa, 3e5, 0.05, regulator), once_pa, 1e-6);
}

TEST(Regulator, HoldsNoMoreThanThePumpAndNoLessThanItsLeast) {
  const model::Regulator regulator{0.2e5, 5e5, 0.0};
  EXPECT_EQ(model::regulated_pa(1e5, 9e5, 0.1, regulator), 5e5);
  EXPECT_EQ(model::regulated_pa(1e5, 0.0, 0.1, regulator), 0.2e5);
}
