#include "controller/row_motion.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::MotionFrame;
using controller::RowMotion;

struct Receiver {
  RowMotion motion = controller::row_motion_for(test::row_config());
  sillion_output out{};
  sillion_health health{};

  void take(const MotionFrame& sent, std::uint32_t received, std::uint32_t now) {
    out.event_count = 0;
    controller::Report report{out, health, now};
    sillion_frame frame = controller::encode(sent);
    frame.received_ticks = received;
    controller::take_motion(motion, frame, report);
  }
};

MotionFrame at_4_mps(std::uint16_t sequence) {
  MotionFrame motion;
  motion.sequence = sequence;
  motion.valid_ms = 500;
  motion.speed_umps = 4'000'000;
  return motion;
}

// 4 m/s measured 50 ms before the receipt and 0.5 m/s2 give 4.075 m/s 100 ms after the receipt.
TEST(RowMotion, CarriesTheSpeedOn) {
  Receiver receiver;
  MotionFrame sent = at_4_mps(1);
  sent.age_ms = 50;
  sent.accel_umps2 = 500'000;
  receiver.take(sent, 0xfffffff0u, 0xfffffff0u);
  EXPECT_EQ(controller::row_speed_umps(receiver.motion, 0xfffffff0u + 100'000u), 4'075'000);
}

TEST(RowMotion, RepeatedAndLateFramesAreDroppedAndCounted) {
  Receiver receiver;
  receiver.take(at_4_mps(10), 1000, 1000);
  MotionFrame late = at_4_mps(9);
  late.speed_umps = 1'000'000;
  receiver.take(late, 2000, 2000);
  late.sequence = 10;
  receiver.take(late, 3000, 3000);
  EXPECT_EQ(controller::row_speed_umps(receiver.motion, 3000), 4'000'000);
  EXPECT_EQ(receiver.health.bad_frames, 2u);
}

TEST(RowMotion, BadStampsAreDropped) {
  Receiver receiver;
  receiver.take(at_4_mps(1), 5000, 1000);            // received in the future
  receiver.take(at_4_mps(2), 1000, 1000 + 400'000);  // waited for longer than it is valid
  EXPECT_FALSE(receiver.motion.known);
  EXPECT_EQ(receiver.health.bad_frames, 2u);
}

// Once stale it is gone: one counter range later the same stamp must not look fresh.
TEST(RowMotion, AWrapDoesNotReviveAStaleSpeed) {
  Receiver receiver;
  receiver.take(at_4_mps(1), 1000, 1000);
  controller::drop_stale_speed(receiver.motion, 1000 + 300'000);
  EXPECT_TRUE(receiver.motion.known);
  controller::drop_stale_speed(receiver.motion, 1000 + 300'001);
  EXPECT_FALSE(receiver.motion.known);
  controller::drop_stale_speed(receiver.motion, 1000);
  EXPECT_FALSE(receiver.motion.known);
  EXPECT_EQ(controller::row_speed_umps(receiver.motion, 1000), 0);
}

}  // namespace
