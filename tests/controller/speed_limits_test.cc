// The machine's speed frame by frame: the limits of acceleration and yaw rate, which signal serves,
// what is bad, and when what came before is forgotten. Frames as in shared/row_frames.h.
#include <gtest/gtest.h>

#include "controller/machine_controller.h"
#include "tests/controller/called_machine.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::SpeedEstimate;

constexpr std::uint32_t kFrom = 0xfff0'0000u;  // the counter wraps behind the first second

sillion_frame ground_frame(int speed_mmps, int direction = 1) {
  return test::ground_speed(static_cast<std::uint16_t>(speed_mmps),
                            static_cast<std::uint8_t>(direction));
}

constexpr int kNone = 0xffff;

/// Course in 1e-4 rad, speed in 0.01 m/s.
sillion_frame course_frame(int course, int speed) {
  sillion_frame frame{};
  frame.id = SILLION_BUS_COURSE_SPEED;
  frame.length = 8;
  frame.sender = 254;
  frame.bytes[2] = static_cast<std::uint8_t>(course & 0xff);
  frame.bytes[3] = static_cast<std::uint8_t>(course >> 8);
  frame.bytes[4] = static_cast<std::uint8_t>(speed & 0xff);
  frame.bytes[5] = static_cast<std::uint8_t>(speed >> 8);
  return frame;
}

struct Machine {
  explicit Machine(std::int32_t lag_ms = 0) {
    sillion_config config = test::machine_config();
    config.speed_lag_ms = lag_ms;
    estimate = controller::speed_estimate_for(config);
  }
  /// A frame that came `waited_us` ago.
  bool take(sillion_frame frame, std::int32_t waited_us = 0) {
    frame.received_ticks = ticks - static_cast<std::uint32_t>(waited_us);
    controller::Report report{out, health, ticks};
    return take_bus_frame(estimate, frame, report);
  }
  void wait(std::uint32_t us) {
    ticks += us;
    forget_old_signals(estimate, ticks);
  }
  SpeedEstimate estimate;
  std::uint32_t ticks = kFrom;
  sillion_output out{};
  sillion_health health{};
};

// A line is behind a speed of 2 t^2 m/s by 4 m/s3 x (0.1 s)^2 / beta, 0.13 to 0.2 m/s at n = 4, 5:
// within the gate of 0.25. Its acceleration of 4 t passes 5 m/s2 after 1.25 s; what is told stays
// there, and with a lag of 5 s the speed is caught up by 25 m/s.
TEST(SpeedLimits, TheAccelerationIsHeldAt5) {
  for (const bool brakes : {false, true}) {
    Machine machine(5000);
    std::int32_t end_umps2 = 0;
    for (int k = -10; k <= 18; ++k) {
      const int gone_mmps = k < 0 ? 0 : 2 * 10 * k * k;
      EXPECT_TRUE(machine.take(ground_frame(brakes ? 19'000 - gone_mmps : 1000 + gone_mmps)));
      end_umps2 = machine.estimate.accel_umps2;
      EXPECT_LE(std::abs(end_umps2), 5'000'000);
      machine.wait(100'000);
    }
    EXPECT_EQ(end_umps2, brakes ? -5'000'000 : 5'000'000);
    EXPECT_GT(std::abs(machine.estimate.speed.slope_ps), 5'000'000);
    if (!brakes)
      EXPECT_EQ(machine.estimate.speed_umps - machine.estimate.speed.value, 25'000'000);
    else
      EXPECT_EQ(machine.estimate.speed_umps, 0) << "it does not run backwards";
  }
}

// The same for a course that turns by 2 t^2 rad: 4 t rad/s pass 2 after 0.5 s.
TEST(SpeedLimits, TheYawRateIsHeldAt2) {
  for (const int side : {-1, 1}) {
    Machine machine;
    for (int k = -10; k <= 12; ++k) {
      machine.take(ground_frame(4000));
      const int turned = k < 0 ? 0 : 200 * k * k;
      machine.take(course_frame(31'416 + side * turned, kNone));
      EXPECT_LE(std::abs(machine.estimate.yaw_uradps), 2'000'000);
      machine.wait(100'000);
    }
    EXPECT_EQ(machine.estimate.yaw_uradps, side * 2'000'000);
    EXPECT_GT(std::abs(machine.estimate.course.slope_ps), 2'000'000);
  }
}

TEST(SpeedLimits, WithoutACourseTheMachineGoesStraight) {
  controller::MachineController machine =
      controller::machine_controller_for(test::machine_config(), nullptr, 0, 0);
  sillion_input in{};
  sillion_output out{};
  sillion_health health{};
  in.now_ticks = test::kStartTicks;
  in.frame_count = 1;
  in.frames[0] = ground_frame(4000);
  in.frames[0].received_ticks = in.now_ticks;
  controller::Report report{out, health, in.now_ticks};
  step(machine, in, report);
  ASSERT_EQ(out.frame_count, 1u);
  controller::MotionFrame said;
  ASSERT_TRUE(decode(out.frames[0], said));
  EXPECT_EQ(said.yaw_uradps, 0);
  EXPECT_EQ(said.speed_umps, 4'000'000);
}

// Braking by 1 m/s2 with a lag of 0.3 s would catch up to -0.3 m/s where the machine stops.
TEST(SpeedLimits, AMachineThatStopsDoesNotRunBackwards) {
  Machine machine(300);
  for (int k = 20; k >= 0; --k) {
    machine.take(ground_frame(100 * k));
    machine.wait(100'000);
  }
  EXPECT_LT(machine.estimate.accel_umps2, -500'000);
  EXPECT_EQ(machine.estimate.speed_umps, 0);
  EXPECT_TRUE(machine.take(ground_frame(100, 0)));
  EXPECT_EQ(machine.estimate.speed_umps, -100'000) << "reverse is believed at once";
  EXPECT_EQ(machine.estimate.accel_umps2, 0);
  machine.wait(100'000);
  EXPECT_TRUE(machine.take(ground_frame(100)));
  EXPECT_EQ(machine.estimate.speed_umps, 100'000) << "and forwards again as well";
}

TEST(SpeedLimits, TheCoursesSpeedServesOnlyWhereTheGroundIsSilent) {
  Machine machine;
  EXPECT_TRUE(machine.take(ground_frame(4000)));
  machine.wait(1'000'000);
  EXPECT_FALSE(machine.take(course_frame(kNone, 420))) << "1 s is not silent";
  EXPECT_EQ(machine.estimate.speed_umps, 4'000'000);
  machine.wait(1);
  EXPECT_TRUE(machine.take(course_frame(kNone, 420)));
  EXPECT_EQ(machine.estimate.measured_ticks, machine.ticks);
  machine.wait(100'000);
  EXPECT_FALSE(machine.take(course_frame(10'000, kNone))) << "a course alone is no speed";
  EXPECT_EQ(machine.health.bad_frames, 0u);
}

TEST(SpeedLimits, ABadFrameIsToldWithItsId) {
  const std::pair<sillion_frame, std::int32_t> cases[] = {
      {ground_frame(4000, 2), 0},        {ground_frame(4000), 1'000'001},
      {ground_frame(4000), -1},          {course_frame(kNone, kNone), 0},
      {course_frame(0, 400), 1'000'001}, {course_frame(0, 400), -1}};
  for (const auto& [frame, waited_us] : cases) {
    Machine machine;
    EXPECT_FALSE(machine.take(frame, waited_us));
    EXPECT_FALSE(machine.estimate.known);
    EXPECT_EQ(machine.health.bad_frames, 1u);
    ASSERT_EQ(machine.out.event_count, 1u);
    EXPECT_EQ(machine.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_BAD_FRAME));
    EXPECT_EQ(machine.out.events[0].a, static_cast<std::int32_t>(frame.id));
  }
  for (const auto& frame : {ground_frame(4000), course_frame(0, 400)}) {
    Machine machine;
    EXPECT_TRUE(machine.take(frame, 1'000'000)) << "1 s is not too old";
    EXPECT_EQ(machine.health.bad_frames, 0u);
    EXPECT_EQ(machine.out.event_count, 0u);
    EXPECT_EQ(machine.estimate.speed_umps, 4'000'000);
  }
}

TEST(SpeedLimits, ASpeedIsForgottenAfter2Seconds) {
  Machine machine;
  for (int k = 0; k <= 20; ++k) {
    if (k > 0) machine.wait(100'000);
    machine.take(ground_frame(1000 + 100 * k));
  }
  machine.wait(2'000'000);
  EXPECT_TRUE(machine.estimate.known);
  EXPECT_NEAR(machine.estimate.accel_umps2, 1'000'000, 50'000);
  machine.wait(1);
  EXPECT_FALSE(machine.estimate.known);
  EXPECT_FALSE(machine.estimate.speed.any);
  EXPECT_EQ(machine.estimate.accel_umps2, 0);
}

TEST(SpeedLimits, ACourseIsForgottenAfter2Seconds) {
  Machine machine;
  for (int k = 0; k <= 20; ++k) {
    if (k > 0) machine.wait(100'000);
    machine.take(ground_frame(4000));
    machine.take(course_frame(10'000 + 100 * k, kNone));
  }
  EXPECT_NEAR(machine.estimate.yaw_uradps, 100'000, 5'000);
  machine.wait(2'000'000);
  EXPECT_NE(machine.estimate.yaw_uradps, 0);
  machine.wait(1);
  EXPECT_EQ(machine.estimate.yaw_uradps, 0);
  EXPECT_FALSE(machine.estimate.course.any);
}

// Below 0.3 m/s a course is noise.
TEST(SpeedLimits, ASlowMachineHasNoCourse) {
  for (const int speed_mmps : {299, 300}) {
    Machine machine;
    for (int k = 0; k <= 20; ++k) {
      if (k > 0) machine.wait(100'000);
      machine.take(ground_frame(speed_mmps));
      machine.take(course_frame(10'000 + 100 * k, kNone));
    }
    EXPECT_NEAR(machine.estimate.yaw_uradps, speed_mmps < 300 ? 0 : 100'000, 5'000) << speed_mmps;
    EXPECT_EQ(machine.estimate.course.any, speed_mmps >= 300);
  }
}

// The speed of before is no speed: a course alone then shows no turn.
TEST(SpeedLimits, BehindAForgottenSpeedACourseSaysNothing) {
  Machine machine;
  machine.take(ground_frame(4000));
  machine.wait(2'000'001);
  ASSERT_FALSE(machine.estimate.known);
  for (int k = 0; k < 10; ++k) {
    machine.take(course_frame(10'000 + 100 * k, kNone));
    machine.wait(100'000);
  }
  EXPECT_EQ(machine.estimate.yaw_uradps, 0);
  EXPECT_FALSE(machine.estimate.course.any);
}

TEST(SpeedLimits, ACourseThatIsNotAvailableChangesNoTurn) {
  Machine machine;
  for (int k = 0; k <= 20; ++k) {
    machine.take(ground_frame(4000));
    machine.take(course_frame(10'000 + 100 * k, 400));
    machine.wait(100'000);
  }
  const std::int32_t before_uradps = machine.estimate.yaw_uradps;
  EXPECT_NEAR(before_uradps, 100'000, 5'000);
  for (int k = 0; k < 3; ++k) {
    machine.take(ground_frame(4000));
    machine.take(course_frame(kNone, 400));
    machine.wait(100'000);
  }
  EXPECT_EQ(machine.estimate.yaw_uradps, before_uradps);
  EXPECT_EQ(machine.health.bad_frames, 0u);
}

TEST(SpeedLimits, WithoutAGroundSpeedTheSpeedOverGroundIsTheMachines) {
  Machine machine;
  EXPECT_TRUE(machine.take(course_frame(10'000, 420)));
  EXPECT_TRUE(machine.estimate.known);
  EXPECT_EQ(machine.estimate.speed_umps, 4'200'000);
  machine.wait(10'000);
  EXPECT_FALSE(machine.take(course_frame(10'000, 420))) << "a repetition is no new speed";
}

}  // namespace
