#include "controller/frames.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <initializer_list>

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

sillion_frame bus_frame(std::uint32_t id, std::initializer_list<int> bytes) {
  sillion_frame frame{};
  frame.id = id;
  frame.length = 8;
  std::copy(bytes.begin(), bytes.end(), frame.bytes);
  return frame;
}

// Each frame is known by its identifier: every decoder takes its own of these and no other.
TEST(Frames, AnotherIdentifierIsAnotherFrame) {
  const sillion_frame frames[] = {encode(some_motion()),
                                  encode(SetPointFrame{}),
                                  encode(RowReportFrame{}),
                                  bus_frame(SILLION_BUS_GROUND_SPEED, {0, 0, 0, 0, 0, 0, 0, 1}),
                                  bus_frame(SILLION_BUS_COURSE_SPEED, {}),
                                  bus_frame(SILLION_BUS_RATE, {})};
  for (std::size_t k = 0; k < std::size(frames); ++k) {
    sillion_frame eight = frames[k], sixteen = frames[k];
    eight.length = 8;
    sixteen.length = 16;
    sixteen.sender = eight.sender = k == 2 ? 0 : 255;
    MotionFrame motion;
    SetPointFrame set_point;
    RowReportFrame row;
    GroundSpeed ground;
    CourseSpeed course;
    RateFrame rate;
    EXPECT_EQ(decode(sixteen, motion), k == 0);
    EXPECT_EQ(decode(sixteen, set_point), k == 1);
    EXPECT_EQ(decode(sixteen, row), k == 2);
    EXPECT_EQ(decode(eight, ground), k == 3);
    EXPECT_EQ(decode(eight, course), k == 4);
    EXPECT_EQ(decode(eight, rate), k == 5);
  }
}

// Up to 100 bar, 0.5 l/s and 20 m/s: no row and no planter reaches these.
TEST(Frames, ValuesBeyondEveryMachineAreDropped) {
  SetPointFrame set_point;
  EXPECT_TRUE(decode(encode(SetPointFrame{.pressure_pa = 10'000'000}), set_point));
  EXPECT_FALSE(decode(encode(SetPointFrame{.pressure_pa = 10'000'001}), set_point));
  EXPECT_FALSE(decode(encode(SetPointFrame{.pressure_pa = -1}), set_point));
  RowReportFrame row;
  EXPECT_TRUE(decode(encode(RowReportFrame{.flow_mm3ps = 500'000, .wanted_mm3ps = 500'000}), row));
  EXPECT_FALSE(decode(encode(RowReportFrame{.flow_mm3ps = 500'001}), row));
  EXPECT_FALSE(decode(encode(RowReportFrame{.wanted_mm3ps = 500'001}), row));
  GroundSpeed ground;  // 0x4e20 are 20.000 m/s
  EXPECT_TRUE(decode(bus_frame(SILLION_BUS_GROUND_SPEED, {0x20, 0x4e, 0, 0, 0, 0, 0, 1}), ground));
  EXPECT_FALSE(decode(bus_frame(SILLION_BUS_GROUND_SPEED, {0x21, 0x4e, 0, 0, 0, 0, 0, 1}), ground));
}

// NMEA 2000's course and speed over ground (PGN 129026): course in 1e-4 rad, speed in 0.01 m/s,
// 0xffff where one is not available. Either one alone is worth something.
TEST(Frames, CourseAndSpeedOverGroundComeAlone) {
  CourseSpeed said;
  const auto frame = [](int course, int speed) {
    return bus_frame(SILLION_BUS_COURSE_SPEED,
                     {0, 0, course & 0xff, course >> 8, speed & 0xff, speed >> 8});
  };
  EXPECT_TRUE(decode(frame(31'416, 400), said));
  EXPECT_TRUE(said.course_known && said.speed_known);
  EXPECT_EQ(said.course_urad, 3'141'600);
  EXPECT_EQ(said.speed_umps, 4'000'000);
  EXPECT_TRUE(decode(frame(31'416, 0xffff), said));
  EXPECT_TRUE(said.course_known && !said.speed_known);
  EXPECT_TRUE(decode(frame(0xffff, 400), said));
  EXPECT_TRUE(!said.course_known && said.speed_known);
  EXPECT_FALSE(decode(frame(0xffff, 0xffff), said));
}

TEST(Sequence, BegunAnewIsMoreThan64Behind) {
  EXPECT_FALSE(begins_again({false, 5000}, 1));  // nothing was heard before
  EXPECT_TRUE(begins_again({true, 5000}, 4935));
  EXPECT_FALSE(begins_again({true, 5000}, 4936));
  EXPECT_FALSE(begins_again({true, 5000}, 5001));
}

// shared/row_frames.h: up to 64 behind it was overtaken, further behind the sender began anew.
TEST(Sequence, UpTo64BehindIsOvertaken) {
  Sequence sequence{true, 5000};
  EXPECT_FALSE(in_sequence(sequence, 4936));
  EXPECT_EQ(sequence.last, 5000);
  EXPECT_TRUE(in_sequence(sequence, 4935));
  EXPECT_EQ(sequence.last, 4935);
}

}  // namespace
