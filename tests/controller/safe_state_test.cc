#include "controller/safe_state.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

/// A stream at 4 m/s: the valve is open for long, so that every closing shows.
FakeHardware streaming_row(std::int64_t speed_until_us) {
  sillion_config config = row_config();
  config.continuous = 1;
  FakeHardware row(config);
  row.report_speed([](double) { return 4.0; }, 0.0, 500, speed_until_us);
  return row;
}

// Last frame at 1 000 500 us with age 0: 300 ms later it is old; the tick after that closes.
TEST(SafeState, ClosesWithinOneTickOfAnOldSpeed) {
  FakeHardware row = streaming_row(1'000'500);
  row.run_until(1'300'000);
  EXPECT_TRUE(row.valve_open());
  row.run_until(3'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_GT(row.pulses()[0].close_us, 1'300'500);
  EXPECT_LE(row.pulses()[0].close_us, 1'301'500);
  EXPECT_EQ(row.count(SILLION_EVENT_SPEED_STALE), 1);
  EXPECT_EQ(row.count(SILLION_EVENT_SAFE_CLOSED), 1);
  EXPECT_NEAR(row.health.stale_speed_ms, 1700.0, 2.0);
}

// The age at sending counts: 250 ms old when sent leaves 50 ms.
TEST(SafeState, AgeAtSendingCounts) {
  FakeHardware row = streaming_row(500);
  controller::MotionFrame motion;
  motion.sequence = 100;
  motion.valid_ms = 500;
  motion.age_ms = 250;
  motion.speed_umps = 4'000'000;
  row.receive(200'500, controller::encode(motion));
  row.run_until(1'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 251'000.0, 1000.0);
}

// The frame says that it is valid for 100 ms only.
TEST(SafeState, TheSendersValidityCounts) {
  FakeHardware row = streaming_row(0);
  controller::MotionFrame motion;
  motion.sequence = 100;
  motion.valid_ms = 100;
  motion.speed_umps = 4'000'000;
  row.receive(200'500, controller::encode(motion));
  row.run_until(1'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 301'000.0, 1000.0);
}

TEST(SafeState, SpeedBackIsSaidOnce) {
  FakeHardware row = streaming_row(1'000'500);
  row.run_until(2'000'000);
  row.report_speed([](double) { return 4.0; }, 0.0, 2'000'500, 4'000'000);
  row.run_until(3'000'000);
  EXPECT_TRUE(row.valve_open());
  EXPECT_EQ(row.count(SILLION_EVENT_SPEED_BACK), 1);
  EXPECT_EQ(row.count(SILLION_EVENT_SAFE_OVER), 2);  // the first speed, and this one
}

TEST(SafeState, NoSpeedYetNoFiring) {
  FakeHardware row(row_config());
  for (int i = 0; i < 10; ++i) row.drop_seed(100'000 + i * 40'000);
  row.run_until(2'000'000);
  EXPECT_TRUE(row.pulses().empty());
  EXPECT_EQ(row.health.edges_accepted, 10u);
  EXPECT_EQ(row.count(SILLION_EVENT_SPEED_STALE), 0);
}

TEST(SafeState, StandingAndReverseClose) {
  for (const double speed_mps : {0.05, 0.0, -1.0}) {
    FakeHardware row = streaming_row(900'500);
    row.report_speed([=](double) { return speed_mps; }, 0.0, 1'000'500, 3'000'000);
    row.run_until(2'000'000);
    ASSERT_EQ(row.pulses().size(), 1u) << speed_mps;
    EXPECT_LE(row.pulses()[0].close_us, 1'001'000) << speed_mps;
  }
}

// In a tight turn the inner row stands while the machine goes on: 1 m/s, omega = 0.5 rad/s to the
// right, row 2 m to the right.
TEST(SafeState, InnerRowOfATightTurnCloses) {
  sillion_config config = row_config();
  config.continuous = 1;
  config.row_y_mm = 2000;
  FakeHardware row(config);
  for (int i = 0; i < 10; ++i) {
    controller::MotionFrame motion;
    motion.sequence = static_cast<std::uint16_t>(i);
    motion.valid_ms = 500;
    motion.speed_umps = 1'000'000;
    motion.yaw_uradps = i < 5 ? 0 : 500'000;
    row.receive(500 + i * 100'000, controller::encode(motion));
  }
  row.run_until(450'000);
  EXPECT_TRUE(row.valve_open());
  row.run_until(600'000);
  EXPECT_FALSE(row.valve_open());
}

// Each digital input alone closes the valve within one tick and empties the queue; its cause is
// reported.
TEST(SafeState, DigitalInputsCloseAndEmptyTheQueue) {
  struct Case {
    std::uint32_t digital;
    std::int32_t cause;
  };
  for (const Case& c : {Case{6, SILLION_SAFE_LIFTED}, Case{5, SILLION_SAFE_ROW_DISABLED},
                        Case{3, SILLION_SAFE_HOLD}}) {
    FakeHardware row(row_config());
    row.report_speed([](double) { return 4.0; }, 0.0, 500, 3'000'000);
    row.drop_seed(1'000'000);  // open from 1 070 000 to 1 089 750
    row.drop_seed(1'050'000);
    row.drop_seed(1'060'000);
    row.run_until(1'075'000);
    EXPECT_TRUE(row.valve_open());
    row.set_digital(c.digital);
    row.run_until(1'076'000);
    EXPECT_FALSE(row.valve_open());
    row.run_until(2'000'000);
    EXPECT_EQ(row.pulses().size(), 1u);
    EXPECT_EQ(row.health.skipped_seeds, 2u);
    // A row that is lifted or in hold sleeps: its time is counted at the next call.
    EXPECT_NEAR(row.health.safe_closed_ms, 915.0, 12.0);
    ASSERT_EQ(row.count(SILLION_EVENT_SAFE_CLOSED), 1);
    for (const auto& event : row.events) {
      if (event.code == SILLION_EVENT_SAFE_CLOSED) {
        EXPECT_EQ(event.a, c.cause);
      }
    }
  }
}

// A valve command at the very instant of lifting: the match and the safe state come in one call.
TEST(SafeState, LiftingAtTheInstantOfTheMatchCloses) {
  FakeHardware row(row_config());
  row.report_speed([](double) { return 4.0; }, 0.0, 500, 3'000'000);
  row.drop_seed(1'000'000);
  row.run_until(1'069'999);
  row.set_digital(0);
  row.run_until(1'072'000);
  EXPECT_FALSE(row.valve_open());
  for (const auto& pulse : row.pulses()) EXPECT_LE(pulse.close_us - pulse.open_us, 1000);
}

}  // namespace
