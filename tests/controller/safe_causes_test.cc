// The causes of a safe state one by one, and the speed that one of them rests on, at their limits:
// enum sillion_safe_cause of shared/controller_abi.h, controller/safe_state.h and row_motion.h.
#include <gtest/gtest.h>

#include <vector>

#include "controller/safe_state.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::MotionFrame;
using controller::RowMotion;
using controller::SafeState;

constexpr std::uint32_t kAtWork =
    SILLION_INPUT_LOWERED | SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
constexpr std::uint32_t kNow = 0xffff'f000u;

struct Row {
  bool must_close(std::uint32_t digital = kAtWork) {
    sillion_output out{};
    controller::Report report{out, health, kNow};
    const bool closed = controller::must_close(safe, motion, digital, report);
    events.assign(out.events, out.events + out.event_count);
    return closed;
  }
  void count(std::int32_t ms) {
    sillion_output out{};
    controller::Report report{out, health, kNow};
    controller::count_safe_time(safe, ms, report);
  }
  void know_speed(std::int32_t speed_umps = 4'000'000) {
    motion.known = true;
    motion.measured_ticks = kNow;
    motion.speed_umps = speed_umps;
  }
  bool told(std::size_t index, sillion_event code, std::uint32_t a) const {
    return index < events.size() && events[index].code == static_cast<std::uint32_t>(code) &&
           events[index].a == static_cast<std::int32_t>(a);
  }

  SafeState safe;
  RowMotion motion;
  sillion_health health{};
  std::vector<sillion_event_record> events;
};

TEST(SafeCauses, EachCauseHasItsBit) {
  struct Case {
    std::uint32_t digital;
    bool config_lost;
    bool no_rate;
    std::uint32_t causes;
  };
  for (const Case& one :
       {Case{kAtWork, false, false, 0}, Case{kAtWork & ~1u, false, false, SILLION_SAFE_LIFTED},
        Case{kAtWork & ~2u, false, false, SILLION_SAFE_ROW_DISABLED},
        Case{kAtWork & ~4u, false, false, SILLION_SAFE_HOLD},
        Case{kAtWork, true, false, SILLION_SAFE_CONFIG},
        Case{kAtWork, false, true, SILLION_SAFE_NO_RATE},
        Case{0, true, true,
             SILLION_SAFE_LIFTED | SILLION_SAFE_ROW_DISABLED | SILLION_SAFE_HOLD |
                 SILLION_SAFE_CONFIG | SILLION_SAFE_NO_RATE}}) {
    Row row;
    row.know_speed();
    row.must_close();
    row.safe.config_lost = one.config_lost;
    row.safe.no_rate = one.no_rate;
    EXPECT_EQ(row.must_close(one.digital), one.causes != 0);
    EXPECT_EQ(row.safe.causes, one.causes);
    EXPECT_EQ(row.told(0, SILLION_EVENT_SAFE_CLOSED, one.causes), one.causes != 0);
    EXPECT_EQ(row.events.size(), one.causes != 0 ? 1u : 0u);
  }
}

TEST(SafeCauses, AtTheStartNothingHasBeenLost) {
  Row row;
  EXPECT_TRUE(row.must_close());
  EXPECT_EQ(row.safe.causes, static_cast<std::uint32_t>(SILLION_SAFE_NO_SPEED));
  EXPECT_TRUE(row.events.empty());
  row.know_speed();
  EXPECT_FALSE(row.must_close());
  ASSERT_EQ(row.events.size(), 1u) << "the first speed is none that came back";
  EXPECT_TRUE(row.told(0, SILLION_EVENT_SAFE_OVER, SILLION_SAFE_NO_SPEED));
}

TEST(SafeCauses, ASpeedThatIsLostIsToldAndItsReturnAsWell) {
  Row row;
  row.know_speed();
  row.must_close();
  row.motion.known = false;
  EXPECT_TRUE(row.must_close());
  EXPECT_TRUE(row.told(0, SILLION_EVENT_SPEED_STALE, 0));
  EXPECT_TRUE(row.told(1, SILLION_EVENT_SAFE_CLOSED, SILLION_SAFE_NO_SPEED));
  row.must_close();
  EXPECT_TRUE(row.events.empty()) << "told once";
  row.know_speed();
  EXPECT_FALSE(row.must_close());
  EXPECT_TRUE(row.told(0, SILLION_EVENT_SPEED_BACK, 0));
  EXPECT_TRUE(row.told(1, SILLION_EVENT_SAFE_OVER, SILLION_SAFE_NO_SPEED));
}

TEST(SafeCauses, At50MillimetresPerSecondTheRowStands) {
  for (const std::int32_t speed_umps : {-4'000'000, 0, 50'000, 50'001}) {
    Row row;
    row.know_speed(speed_umps);
    EXPECT_EQ(row.must_close(), speed_umps <= 50'000);
    EXPECT_EQ(row.safe.causes,
              static_cast<std::uint32_t>(speed_umps <= 50'000 ? SILLION_SAFE_NOT_FORWARD : 0));
  }
}

TEST(SafeCauses, TheTimeIsCountedWhileACauseHolds) {
  Row row;
  row.must_close();
  row.count(20);
  EXPECT_EQ(row.health.safe_closed_ms, 20u);
  EXPECT_EQ(row.health.stale_speed_ms, 20u);
  row.know_speed();
  row.must_close(0);
  row.count(3);
  EXPECT_EQ(row.health.safe_closed_ms, 23u);
  EXPECT_EQ(row.health.stale_speed_ms, 20u) << "lifted, and the speed is known";
  row.must_close();
  row.count(5);
  EXPECT_EQ(row.health.safe_closed_ms, 23u);
}

struct Receiver {
  explicit Receiver(std::int32_t row_y_mm = 0) {
    sillion_config config = test::row_config();
    config.row_y_mm = row_y_mm;
    motion = controller::row_motion_for(config);
  }
  void take(const MotionFrame& sent, std::uint32_t now, std::uint32_t received) {
    sillion_output out{};
    controller::Report report{out, health, now};
    sillion_frame frame = encode(sent);
    frame.received_ticks = received;
    controller::take_motion(motion, frame, report);
  }
  RowMotion motion;
  sillion_health health{};
};

MotionFrame sent(std::uint16_t sequence, std::int32_t speed_umps = 4'000'000) {
  MotionFrame motion;
  motion.sequence = sequence;
  motion.valid_ms = 250;
  motion.speed_umps = speed_umps;
  return motion;
}

// Once the speed is stale a sender may begin with any number; before, 50 behind is overtaken.
TEST(MotionLimits, AStaleSpeedTakesItsNumberAlong) {
  for (const std::uint32_t later_us : {250'000u, 250'001u}) {
    Receiver receiver;
    receiver.take(sent(100), kNow, kNow);
    controller::drop_stale_speed(receiver.motion, kNow + later_us);
    EXPECT_EQ(receiver.motion.known, later_us == 250'000u);
    receiver.take(sent(50, 1'000'000), kNow + later_us, kNow + later_us);
    EXPECT_EQ(receiver.motion.speed_umps, later_us == 250'000u ? 4'000'000 : 1'000'000);
    EXPECT_EQ(receiver.health.bad_frames, later_us == 250'000u ? 1u : 0u);
  }
}

// The timeout of the configuration is 300 ms.
TEST(MotionLimits, AFrameMayHaveWaitedAsLongAsASpeedLasts) {
  for (const std::uint32_t waited_us : {0u, 300'000u, 300'001u}) {
    Receiver receiver;
    receiver.take(sent(1), kNow, kNow - waited_us);
    EXPECT_EQ(receiver.motion.known, waited_us <= 300'000u);
    EXPECT_EQ(receiver.health.bad_frames, waited_us <= 300'000u ? 0u : 1u);
  }
}

// v + a t - omega y, y = 3 m to the right: 4 m/s - 0.1 rad/s x 3 m, and 0.5 m/s2 for 0.1 s.
TEST(MotionLimits, ARowsSpeedIsTheMachinesLessItsTurn) {
  Receiver receiver(3000);
  MotionFrame turning = sent(1);
  turning.age_ms = 40;
  turning.accel_umps2 = 500'000;
  turning.yaw_uradps = 100'000;
  receiver.take(turning, kNow, kNow);
  EXPECT_EQ(receiver.motion.measured_ticks, kNow - 40'000);
  EXPECT_EQ(receiver.motion.valid_us, 250'000);
  EXPECT_EQ(controller::row_speed_umps(receiver.motion, kNow - 40'000), 3'700'000);
  EXPECT_EQ(controller::row_speed_umps(receiver.motion, kNow + 60'000), 3'750'000);
}

}  // namespace
