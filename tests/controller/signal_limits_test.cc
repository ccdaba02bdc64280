// Where signals end: courses that are forgotten, motion that no machine makes, a meter that leaps,
// memory that is another's.
#include <gtest/gtest.h>

#include <cmath>

#include "controller/rate_loop.h"
#include "controller/retained.h"
#include "controller/row_motion.h"
#include "controller/speed_estimate.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::MotionFrame;
using controller::RowMotion;

struct Bus {
  controller::SpeedEstimate estimate = controller::speed_estimate_for(test::machine_config());
  sillion_health health{};
  sillion_output out{};
  std::uint32_t now = test::kStartTicks;

  bool take(std::uint32_t id, int at, std::int64_t value, std::uint8_t last) {
    sillion_frame frame{};
    frame.id = id;
    frame.length = 8;
    frame.bytes[at] = static_cast<std::uint8_t>(value & 0xff);
    frame.bytes[at + 1] = static_cast<std::uint8_t>(value >> 8);
    if (id == SILLION_BUS_COURSE_SPEED) frame.bytes[4] = frame.bytes[5] = 0xff;
    frame.bytes[7] = last;
    frame.received_ticks = now;
    out.event_count = 0;
    controller::Report report{out, health, now};
    return controller::take_bus_frame(estimate, frame, report);
  }
  bool speed(double speed_mps, bool forward = true) {
    return take(SILLION_BUS_GROUND_SPEED, 0, std::lround(speed_mps * 1e3), forward ? 1 : 0);
  }
  void course(double course_rad) {
    take(SILLION_BUS_COURSE_SPEED, 2, std::lround(course_rad * 1e4), 0xff);
  }
  /// Two seconds of a turn at 0.1 rad/s.
  void turn(double speed_mps) {
    for (int i = 0; i < 20; ++i) {
      now += 100'000;
      speed(speed_mps);
      course(1.0 + 0.01 * i);
    }
  }
};

TEST(SignalLimits, ATurnIsForgottenWhenTheMachineAlmostStands) {
  Bus bus;
  bus.turn(4.0);
  EXPECT_NEAR(bus.estimate.yaw_uradps, 100'000, 2'000);
  for (int i = 0; i < 40; ++i) {
    bus.now += 100'000;
    bus.speed(0.2);
    bus.course(1.2);
  }
  EXPECT_EQ(bus.estimate.yaw_uradps, 0);
  EXPECT_FALSE(bus.estimate.course.any);
}

TEST(SignalLimits, ACourseBelow300MillimetresPerSecondIsNone) {
  Bus slow;
  slow.turn(0.299);
  EXPECT_EQ(slow.estimate.yaw_uradps, 0);
  Bus fast;
  fast.turn(0.300);
  EXPECT_NEAR(fast.estimate.yaw_uradps, 100'000, 2'000);
}

TEST(SignalLimits, ATurnIsForgottenWhenNoCourseComesForTwoSeconds) {
  Bus bus;
  bus.turn(4.0);
  controller::forget_old_signals(bus.estimate, bus.now + 2'000'000);
  EXPECT_NEAR(bus.estimate.yaw_uradps, 100'000, 2'000);
  controller::forget_old_signals(bus.estimate, bus.now + 2'000'001);
  EXPECT_EQ(bus.estimate.yaw_uradps, 0);
  EXPECT_FALSE(bus.estimate.course.any);
}

// A course that jumps by half a circle is set aside: the turn goes on as it was.
TEST(SignalLimits, ACourseThatJumpsMovesNoTurn) {
  Bus bus;
  bus.turn(4.0);
  const std::int32_t before_uradps = bus.estimate.yaw_uradps;
  bus.now += 100'000;
  bus.speed(4.0);
  bus.course(4.3);
  EXPECT_EQ(bus.estimate.yaw_uradps, before_uradps);
}

// Backwards and forwards again: the first forward speed is believed at once, like the backward one.
TEST(SignalLimits, ForwardAfterBackwardIsBelievedAtOnce) {
  Bus bus;
  for (int i = 0; i < 10; ++i) {
    bus.now += 100'000;
    EXPECT_TRUE(bus.speed(1.0, false));
  }
  EXPECT_EQ(bus.estimate.speed_umps, -1'000'000);
  bus.now += 100'000;
  EXPECT_TRUE(bus.speed(2.0));
  EXPECT_EQ(bus.estimate.speed_umps, 2'000'000);
}

TEST(SignalLimits, AFrameThatWaitedASecondIsTheOldestThatIsTaken) {
  for (const std::uint32_t waited_us : {1'000'000u, 1'000'001u}) {
    Bus bus;
    sillion_frame frame{};
    frame.id = SILLION_BUS_GROUND_SPEED;
    frame.length = 8;
    frame.bytes[1] = 0x10;
    frame.bytes[7] = 1;
    frame.received_ticks = bus.now;
    controller::Report report{bus.out, bus.health, bus.now + waited_us};
    EXPECT_EQ(controller::take_bus_frame(bus.estimate, frame, report), waited_us == 1'000'000u);
  }
}

RowMotion taken(const MotionFrame& sent, std::int32_t row_y_mm = 0) {
  sillion_config config = test::row_config();
  config.row_y_mm = row_y_mm;
  RowMotion motion = controller::row_motion_for(config);
  sillion_output out{};
  sillion_health health{};
  controller::Report report{out, health, 1000};
  sillion_frame frame = controller::encode(sent);
  frame.received_ticks = 1000;
  controller::take_motion(motion, frame, report);
  return motion;
}

// The frame's acceleration ends at 127 steps of 0.02 m/s2, which is 2.54: below the 5 m/s2 at which
// the row would hold it, so both ends pass as they are.
TEST(SignalLimits, TheLargestAccelerationOfAFramePassesUnheld) {
  MotionFrame sent;
  sent.accel_umps2 = 9'000'000;
  EXPECT_EQ(taken(sent).accel_umps2, 2'540'000);
  sent.accel_umps2 = -9'000'000;
  EXPECT_EQ(taken(sent).accel_umps2, -2'540'000);
}

// 20 m/s and 2 rad/s at a row 50 m out are 120 m/s: held at twice what a frame may say.
TEST(SignalLimits, NoRowIsFasterThan40MetresPerSecond) {
  MotionFrame sent;
  sent.speed_umps = 20'000'000;
  sent.yaw_uradps = -2'000'000;
  EXPECT_EQ(controller::row_speed_umps(taken(sent, 50'000), 1000), 40'000'000);
  sent.speed_umps = -20'000'000;
  sent.yaw_uradps = 2'000'000;
  EXPECT_EQ(controller::row_speed_umps(taken(sent, 50'000), 1000), -40'000'000);
}

TEST(SignalLimits, ASpeedHoldsForItsTimeOfValidityAndNoLonger) {
  MotionFrame sent;
  sent.speed_umps = 4'000'000;
  sent.valid_ms = 200;  // the time-out of the configuration is 300
  RowMotion motion = taken(sent);
  controller::drop_stale_speed(motion, 1000 + 200'000);
  EXPECT_TRUE(motion.known);
  controller::drop_stale_speed(motion, 1000 + 200'001);
  EXPECT_FALSE(motion.known);
}

controller::RateLoop loop_that_trims() {
  sillion_config config = test::row_config();
  config.meter_mm3_per_pulse = 100;
  config.attachment.lift_settable = 1;
  return controller::rate_loop_for(config);
}

/// Seconds of band at `should_be_mm3ps`, of which the meter counts `pulses_per_s`.
void run(controller::RateLoop& loop, std::uint32_t& pulses, int seconds,
         std::int32_t should_be_mm3ps, std::uint32_t pulses_per_s, bool may_fall = true) {
  for (int i = 0; i < seconds; ++i) {
    pulses += pulses_per_s;
    follow_meter(loop, pulses, 1'000'000, should_be_mm3ps, true, may_fall);
  }
}

// More than half of what was expected is missing or too much: that is no error to trim.
TEST(SignalLimits, AFlowThatIsWrongByMoreThanHalfIsNotTrimmed) {
  struct Case {
    std::uint32_t pulses_per_s;
    bool trims;
  };
  for (const Case& one : {Case{50, true}, Case{49, false}, Case{150, true}, Case{151, false}}) {
    controller::RateLoop loop = loop_that_trims();
    std::uint32_t pulses = 0;
    run(loop, pulses, 3, 10'000, one.pulses_per_s);
    EXPECT_EQ(loop.trim_q16 != 0, one.trims) << one.pulses_per_s;
  }
}

TEST(SignalLimits, TheTrimEndsAt15PerCentOnBothSides) {
  controller::RateLoop loop = loop_that_trims();
  std::uint32_t pulses = 0;
  run(loop, pulses, 40, 10'000, 140);
  EXPECT_EQ(loop.trim_q16, -controller::kMostTrimQ16);
  run(loop, pulses, 40, 10'000, 60);
  EXPECT_EQ(loop.trim_q16, controller::kMostTrimQ16);
}

TEST(SignalLimits, ATrimThatMayNotFallStays) {
  controller::RateLoop loop = loop_that_trims();
  std::uint32_t pulses = 0;
  run(loop, pulses, 10, 10'000, 120, false);
  EXPECT_EQ(loop.trim_q16, 0);
  run(loop, pulses, 10, 10'000, 120, true);
  EXPECT_LT(loop.trim_q16, 0);
}

TEST(SignalLimits, NothingExpectedIsNothingToTrim) {
  controller::RateLoop loop = loop_that_trims();
  std::uint32_t pulses = 0;
  run(loop, pulses, 5, 0, 100);
  EXPECT_EQ(loop.trim_q16, 0);
  EXPECT_EQ(loop.rise_q16, 0);
  EXPECT_EQ(loop.flow_mm3ps, 10'000);
}

// 10 000 pulses in one call may be a meter, one more is a count that was lost.
TEST(SignalLimits, ACountThatLeapsStartsTheWindowAnew) {
  controller::RateLoop loop = loop_that_trims();
  std::uint32_t pulses = 0;
  run(loop, pulses, 2, 10'000, 100);
  ASSERT_TRUE(loop.started);
  run(loop, pulses, 1, 10'000, 10'000);
  EXPECT_TRUE(loop.started);
  run(loop, pulses, 1, 10'000, 10'001);
  EXPECT_FALSE(loop.started);
}

// Memory that survived is believed only whole, of this role and with its mark.
TEST(SignalLimits, MemoryOfAnotherRoleOrSizeIsNotBelieved) {
  controller::Retained kept;
  kept.role = SILLION_ROLE_ROW;
  kept.health.edges_accepted = 77;
  controller::seal(kept);
  const auto accepted = [&](std::uint32_t role, std::size_t size) {
    return controller::retained_from(&kept, size, role, SILLION_RESET_WATCHDOG)
        .health.edges_accepted;
  };
  EXPECT_EQ(accepted(SILLION_ROLE_ROW, sizeof kept), 77u);
  EXPECT_EQ(accepted(SILLION_ROLE_ROW, sizeof kept - 1), 0u);
  EXPECT_EQ(accepted(SILLION_ROLE_MACHINE, sizeof kept), 0u);
  EXPECT_EQ(
      controller::retained_from(nullptr, sizeof kept, SILLION_ROLE_ROW, SILLION_RESET_WATCHDOG)
          .health.resets,
      1u);
}

}  // namespace
