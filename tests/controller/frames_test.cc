#include "controller/frames.h"

#include <gtest/gtest.h>

#include "controller/sequence.h"

namespace {

using namespace controller;

MotionFrame some_motion() {
  MotionFrame motion;
  motion.sequence = 0x1234;
  motion.valid_ms = 500;
  motion.age_ms = 7;
  motion.work = 5;
  motion.accel_umps2 = -500'000;
  motion.speed_umps = -1'234'567;
  motion.yaw_uradps = 74'074;
  return motion;
}

// Byte by byte from the layout in shared/row_frames.h: -0.5 m/s2 is -25 steps = 0xe7; -1234567 is
// 0xffed2979; 74074 is 0x0001215a.
TEST(Frames, MotionLiesInItsBytes) {
  const sillion_frame frame = encode(some_motion());
  const std::uint8_t expected[16] = {0x34, 0x12, 0xf4, 0x01, 7,    0,    5,    0xe7,
                                     0x79, 0x29, 0xed, 0xff, 0x5a, 0x21, 0x01, 0x00};
  EXPECT_EQ(frame.id, 0x101u);
  EXPECT_EQ(frame.length, 16);
  for (int i = 0; i < 16; ++i) EXPECT_EQ(frame.bytes[i], expected[i]) << "byte " << i;
}

TEST(Frames, MotionComesBack) {
  MotionFrame back;
  ASSERT_TRUE(decode(encode(some_motion()), back));
  EXPECT_EQ(back.sequence, 0x1234);
  EXPECT_EQ(back.age_ms, 7);
  EXPECT_EQ(back.accel_umps2, -500'000);
  EXPECT_EQ(back.speed_umps, -1'234'567);
  EXPECT_EQ(back.yaw_uradps, 74'074);
}

TEST(Frames, AccelerationNotKnownMeansNone) {
  sillion_frame frame = encode(some_motion());
  frame.bytes[7] = 0x80;
  MotionFrame back;
  ASSERT_TRUE(decode(frame, back));
  EXPECT_EQ(back.accel_umps2, 0);
}

// PGN 65097, bytes 0-1 speed 0.001 m/s, byte 7 bits 0-1 direction: 0x115c = 4444 -> 4.444 m/s.
TEST(Frames, GroundSpeedAsOnTheBus) {
  sillion_frame frame{};
  frame.id = SILLION_BUS_GROUND_SPEED;
  frame.length = 8;
  frame.bytes[0] = 0x5c;
  frame.bytes[1] = 0x11;
  frame.bytes[7] = 0xfd;  // forward, other bits not available
  GroundSpeed speed;
  ASSERT_TRUE(decode(frame, speed));
  EXPECT_EQ(speed.speed_umps, 4'444'000);
  frame.bytes[7] = 0xfc;
  ASSERT_TRUE(decode(frame, speed));
  EXPECT_EQ(speed.speed_umps, -4'444'000);
}

TEST(Frames, NothingBadIsDecoded) {
  MotionFrame motion;
  sillion_frame frame = encode(some_motion());
  frame.length = 15;
  EXPECT_FALSE(decode(frame, motion));
  frame = encode(some_motion());
  frame.sender = 3;  // a row does not report the speed
  EXPECT_FALSE(decode(frame, motion));
  frame = encode(some_motion());
  frame.bytes[11] = 0x7f;  // 2131 m/s
  EXPECT_FALSE(decode(frame, motion));
  RowReportFrame row;
  sillion_frame said = encode(RowReportFrame{1, 3, 1, 0, 0, 0, 5000, 5000});
  EXPECT_TRUE(decode(said, row));
  said.sender = 4;  // reports for another row
  EXPECT_FALSE(decode(said, row));
}

TEST(Frames, NoMoreThanTheCallHolds) {
  sillion_output out{};
  for (int i = 0; i < SILLION_FRAMES_MAX; ++i) EXPECT_TRUE(send(out, encode(some_motion())));
  EXPECT_FALSE(send(out, encode(some_motion())));
  EXPECT_EQ(out.frame_count, static_cast<std::uint32_t>(SILLION_FRAMES_MAX));
}

TEST(Sequence, RepeatedAndOvertakenFramesAreDropped) {
  Sequence sequence;
  EXPECT_TRUE(in_sequence(sequence, 65'534));
  EXPECT_FALSE(in_sequence(sequence, 65'534));
  EXPECT_TRUE(in_sequence(sequence, 1));  // across the wrap, two frames lost
  EXPECT_FALSE(in_sequence(sequence, 65'535));
  EXPECT_TRUE(in_sequence(sequence, 2));
}

TEST(Sequence, ARestartedSenderIsTakenAtOnce) {
  Sequence sequence;
  EXPECT_TRUE(in_sequence(sequence, 5000));
  EXPECT_TRUE(in_sequence(sequence, 1));
  EXPECT_TRUE(in_sequence(sequence, 2));
}

}  // namespace
