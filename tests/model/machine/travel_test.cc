#include "model/machine/travel.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "shared/units.h"

namespace {

using model::make_travel;
using model::row_motion_at;
using model::time_at_row_x_s;
using model::Travel;

constexpr double kRight_m = 2.667;  // outermost of 8 rows of 0.762 m: 3.5 * 0.762

Travel given_turn(double speed_mps, double yaw_rate_radps) {
  return make_travel({{0.0, speed_mps, yaw_rate_radps}});
}

}  // namespace

TEST(Travel, InALeftTurnTheRightHandRowsGoFaster) {
  const Travel left = given_turn(3.0, -0.05);  // omega positive is a right-hand turn
  const double right_row_mps = row_motion_at(left, kRight_m, 1.0).speed_mps;
  const double left_row_mps = row_motion_at(left, -kRight_m, 1.0).speed_mps;
  EXPECT_GT(right_row_mps, 3.0);
  EXPECT_LT(left_row_mps, 3.0);
  // Radius 60 m to the left: the right-hand row runs on 62.667 m.
  EXPECT_NEAR(right_row_mps, 3.0 * (60.0 + kRight_m) / 60.0, 1e-12);
}

TEST(Travel, RowsOfASymmetricToolbarAverageToTheMachine) {
  const Travel turn = given_turn(4.0, 0.07);
  double sum_mps = 0.0;
  for (int row = 0; row < 8; ++row)
    sum_mps += row_motion_at(turn, (row - 3.5) * 0.762, 2.0).speed_mps;
  EXPECT_NEAR(sum_mps, 8 * 4.0, 1e-12);
}

TEST(Travel, StraightAheadAllRowsAreEqual) {
  const Travel straight = given_turn(4.0, 0.0);
  EXPECT_EQ(row_motion_at(straight, kRight_m, 3.0).x_ground_m, 12.0);
  EXPECT_EQ(row_motion_at(straight, -kRight_m, 3.0).x_ground_m, 12.0);
}

TEST(Travel, TheRowAtTheCentreOfTheTurnStandsStill) {
  const Travel tight = given_turn(2.0, 0.5);
  EXPECT_EQ(row_motion_at(tight, 4.0, 5.0).speed_mps, 0.0);
  EXPECT_EQ(row_motion_at(tight, 4.0, 5.0).x_ground_m, 0.0);
  EXPECT_TRUE(std::isnan(time_at_row_x_s(tight, 4.0, 0.001)));
  // Further inside the turn the row runs backwards and reaches nothing ahead of it.
  EXPECT_LT(row_motion_at(tight, 5.0, 5.0).speed_mps, 0.0);
  EXPECT_TRUE(std::isnan(time_at_row_x_s(tight, 5.0, 1.0)));
}

TEST(Travel, AFullCircleIsItsCircumference) {
  const double radius_m = 60.0, speed_mps = 3.0;
  const Travel circle = given_turn(speed_mps, speed_mps / radius_m);  // right-hand
  const double once_s = 2.0 * shared::kPi_ratio * radius_m / speed_mps;
  EXPECT_NEAR(model::turned_rad(circle, once_s), 2.0 * shared::kPi_ratio, 1e-12);
  EXPECT_NEAR(row_motion_at(circle, kRight_m, once_s).x_ground_m,
              2.0 * shared::kPi_ratio * (radius_m - kRight_m), 1e-9);
}

TEST(Travel, ARampCoversTheTextbookDistance) {
  // 2 m/s to 5 m/s at 0.5 m/s2 takes 6 s and 21 m; then the speed is constant.
  const Travel ramp = make_travel({{0.0, 2.0, 0.0}, {6.0, 5.0, 0.0}});
  EXPECT_DOUBLE_EQ(row_motion_at(ramp, 0.0, 6.0).x_ground_m, 21.0);
  EXPECT_DOUBLE_EQ(row_motion_at(ramp, 0.0, 2.0).x_ground_m, 5.0);  // 2*2 + 0.25*4
  EXPECT_DOUBLE_EQ(row_motion_at(ramp, 0.0, 8.0).x_ground_m, 31.0);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(ramp, 0.0, 5.0), 2.0);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(ramp, 0.0, 31.0), 8.0);
}

TEST(Travel, ARepeatedTimeIsAStep) {
  const Travel step = make_travel({{0.0, 2.0, 0.0}, {3.0, 2.0, 0.0}, {3.0, 4.0, 0.0}});
  EXPECT_EQ(model::motion_at(step, 2.999999).speed_mps, 2.0);
  EXPECT_EQ(model::motion_at(step, 3.0).speed_mps, 4.0);  // at the step: the value after it
  EXPECT_DOUBLE_EQ(row_motion_at(step, 0.0, 4.0).x_ground_m, 10.0);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(step, 0.0, 10.0), 4.0);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(step, 0.0, 6.0), 3.0);
}

TEST(Travel, TheFirstTimeCountsWhenTheRowComesBack) {
  // 0..4 s forward at 2 (x = 8), 4..6 s backward at 1 (x = 6), then forward at 1: x = 7 at 3.5 s,
  // again at 5 s and 7 s; x = 9 only at 9 s.
  const Travel shuttle = make_travel(
      {{0.0, 2.0, 0.0}, {4.0, 2.0, 0.0}, {4.0, -1.0, 0.0}, {6.0, -1.0, 0.0}, {6.0, 1.0, 0.0}});
  EXPECT_DOUBLE_EQ(time_at_row_x_s(shuttle, 0.0, 7.0), 3.5);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(shuttle, 0.0, 9.0), 9.0);
}

TEST(Travel, AGoalBeyondTheTurningPointOfAStretchIsNotReachedInIt) {
  // From 2 m/s at -1 m/s2: the row turns back at t = 2, x = 2, and ends at t = 4 where it began.
  const Travel stone = make_travel({{0.0, 2.0, 0.0}, {4.0, -2.0, 0.0}, {4.0, 0.0, 0.0}});
  EXPECT_DOUBLE_EQ(time_at_row_x_s(stone, 0.0, 1.5), 1.0);  // 2 - 0.5; the other root is 3
  EXPECT_TRUE(std::isnan(time_at_row_x_s(stone, 0.0, 2.001)));
}

TEST(Travel, ABendThatRunsOneRowBackwardsDoesNotLoseItsFirstArrival) {
  // 2 m/s; from 2 to 4 s a right-hand turn at 0.5 rad/s: the row 5 m to the right goes 2, then
  // -0.5, then 2 m/s, so it is at 4 m after 2 s, at 3 m after 4 s and at 3.5 m first after 1.75 s.
  const Travel bend = make_travel({{0.0, 2.0, 0.0},
                                   {2.0, 2.0, 0.0},
                                   {2.0, 2.0, 0.5},
                                   {4.0, 2.0, 0.5},
                                   {4.0, 2.0, 0.0},
                                   {6.0, 2.0, 0.0}});
  EXPECT_DOUBLE_EQ(time_at_row_x_s(bend, 5.0, 3.5), 1.75);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(bend, 5.0, 5.0), 5.0);
}

TEST(Travel, ARowThatRollsBackFirstArrivesOnItsWayForward) {
  // -1 m/s at first, then 1 m/s2 forward: x = -t + t^2/2 is 1.5 m at t = 3.
  const Travel rolls = make_travel({{0.0, -1.0, 0.0}, {4.0, 3.0, 0.0}});
  EXPECT_DOUBLE_EQ(time_at_row_x_s(rolls, 0.0, 1.5), 3.0);
}

// 2 m/s for 4 s, to -1 m/s at 5 s (through 0 at 4.667 s), until 7 s, to 2 m/s at 8 s (through 0 at
// 7.333 s): forwards the row goes 8 + 2/3 m, stands until 7.333 s, and goes 2/3 m more until 8 s.
TEST(Travel, TheForwardPartStandsWhileTheRowGoesBack) {
  const Travel shuttle = make_travel(
      {{0.0, 2.0, 0.0}, {4.0, 2.0, 0.0}, {5.0, -1.0, 0.0}, {7.0, -1.0, 0.0}, {8.0, 2.0, 0.0}});
  EXPECT_FALSE(model::runs_forward(shuttle, 0.0));
  const Travel forward = model::forward_part(shuttle, 0.0);
  EXPECT_TRUE(model::runs_forward(forward, 0.0));
  EXPECT_NEAR(row_motion_at(forward, 0.0, 4.7).x_ground_m, 8.0 + 2.0 / 3.0, 1e-12);
  EXPECT_NEAR(row_motion_at(forward, 0.0, 7.3).x_ground_m, 8.0 + 2.0 / 3.0, 1e-12);
  EXPECT_NEAR(row_motion_at(forward, 0.0, 8.0).x_ground_m, 8.0 + 4.0 / 3.0, 1e-12);
  EXPECT_NEAR(time_at_row_x_s(forward, 0.0, 10.0 + 4.0 / 3.0), 9.0, 1e-12);
}

// In a turn of 0.5 rad/s at 2 m/s the row 5 m to the right runs at -0.5 m/s and never forwards.
TEST(Travel, TheForwardPartIsOfItsOwnRow) {
  const Travel bend = make_travel({{0.0, 2.0, 0.5}});
  EXPECT_DOUBLE_EQ(row_motion_at(model::forward_part(bend, 5.0), 0.0, 3.0).x_ground_m, 0.0);
  EXPECT_DOUBLE_EQ(row_motion_at(model::forward_part(bend, -5.0), 0.0, 3.0).x_ground_m, 13.5);
}

TEST(Travel, StandingAtFirstDelaysTheArrival) {
  const Travel start = make_travel({{0.0, 0.0, 0.0}, {5.0, 0.0, 0.0}, {9.0, 4.0, 0.0}});
  EXPECT_DOUBLE_EQ(time_at_row_x_s(start, 0.0, 2.0), 7.0);  // 0.5 * 1 * 2^2
  EXPECT_DOUBLE_EQ(time_at_row_x_s(start, 0.0, 12.0), 10.0);
}

TEST(Travel, PlacesAndTimesAreInverse) {
  // A drive with ramps, a bend both ways and a stop: the search scans for a far row, halves for a
  // near one.
  const Travel drive = make_travel({{0.0, 3.0, 0.0},
                                    {4.0, 4.5, 0.05},
                                    {9.0, 2.0, -0.08},
                                    {12.0, 0.0, 0.0},
                                    {14.0, 0.0, 0.0},
                                    {20.0, 5.0, 0.02}});
  for (double y_unit_m : {-kRight_m, 0.0, kRight_m}) {
    for (double time_s = 0.25; time_s < 30.0; time_s += 0.5) {
      const model::RowMotion motion = row_motion_at(drive, y_unit_m, time_s);
      if (motion.speed_mps < 1e-3) continue;
      EXPECT_NEAR(time_at_row_x_s(drive, y_unit_m, motion.x_ground_m), time_s, 1e-9) << y_unit_m;
    }
  }
}

TEST(Travel, HalvingAndScanningAgree) {
  std::vector<model::TravelKnot> knots;
  for (int i = 0; i < 400; ++i)
    knots.push_back({0.5 * i, 3.0 + ((i * 7) % 11) * 0.1, ((i * 5) % 9 - 4) * 0.01});
  Travel drive = make_travel(knots);
  ASSERT_GT(drive.forward_reach_m, kRight_m);
  Travel scanned = drive;
  scanned.forward_reach_m = -1.0;
  for (double x_m = 0.5; x_m < 650.0; x_m += 13.7)
    EXPECT_EQ(time_at_row_x_s(drive, kRight_m, x_m), time_at_row_x_s(scanned, kRight_m, x_m));
}

TEST(Travel, BeforeTheFirstKnotTheSpeedWasHeldAndTimeZeroIsTheOrigin) {
  const Travel late = make_travel({{2.0, 3.0, 0.0}, {4.0, 5.0, 0.0}});
  EXPECT_DOUBLE_EQ(row_motion_at(late, 0.0, 0.0).x_ground_m, 0.0);
  EXPECT_DOUBLE_EQ(row_motion_at(late, 0.0, 1.0).x_ground_m, 3.0);
  EXPECT_DOUBLE_EQ(row_motion_at(late, 0.0, 4.0).x_ground_m, 14.0);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(late, 0.0, 3.0), 1.0);
  EXPECT_DOUBLE_EQ(time_at_row_x_s(late, 0.0, -6.0), -2.0);
}

TEST(Travel, RefusesTablesThatAreNone) {
  EXPECT_THROW(make_travel({}), std::invalid_argument);
  EXPECT_THROW(make_travel({{1.0, 2.0, 0.0}, {0.5, 2.0, 0.0}}), std::invalid_argument);
  const double nan_mps = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(make_travel({{0.0, nan_mps, 0.0}}), std::invalid_argument);
}
