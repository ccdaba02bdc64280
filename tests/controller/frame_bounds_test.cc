// Every limit that shared/row_frames.h states for the values of a frame, at its last good value and
// one beyond it: 20 m/s, 2 rad/s, 1000 l/ha, 100 bar, 0.5 l/s.
#include <gtest/gtest.h>

#include <cstdint>

#include "controller/frames.h"

namespace {

using namespace controller;

template <typename Frame>
bool taken(const sillion_frame& frame) {
  Frame read;
  return decode(frame, read);
}

template <typename Frame>
bool comes_back(std::int32_t Frame::* value, std::int32_t number) {
  Frame frame;
  frame.*value = number;
  Frame read;
  return decode(encode(frame), read) && read.*value == number;
}

TEST(FrameBounds, OfMotion) {
  EXPECT_TRUE(comes_back(&MotionFrame::speed_umps, 20'000'000));
  EXPECT_TRUE(comes_back(&MotionFrame::speed_umps, -20'000'000));
  EXPECT_FALSE(comes_back(&MotionFrame::speed_umps, 20'000'001));
  EXPECT_FALSE(comes_back(&MotionFrame::speed_umps, -20'000'001));
  EXPECT_TRUE(comes_back(&MotionFrame::yaw_uradps, 2'000'000));
  EXPECT_TRUE(comes_back(&MotionFrame::yaw_uradps, -2'000'000));
  EXPECT_FALSE(comes_back(&MotionFrame::yaw_uradps, 2'000'001));
  EXPECT_FALSE(comes_back(&MotionFrame::yaw_uradps, -2'000'001));
}

TEST(FrameBounds, OfASetPoint) {
  EXPECT_TRUE(comes_back(&SetPointFrame::rate_nm, 0));
  EXPECT_TRUE(comes_back(&SetPointFrame::rate_nm, 100'000));
  EXPECT_FALSE(comes_back(&SetPointFrame::rate_nm, 100'001));
  EXPECT_FALSE(comes_back(&SetPointFrame::rate_nm, -1));
  EXPECT_TRUE(comes_back(&SetPointFrame::pressure_pa, 10'000'000));
  EXPECT_FALSE(comes_back(&SetPointFrame::pressure_pa, 10'000'001));
  EXPECT_FALSE(comes_back(&SetPointFrame::pressure_pa, -1));
}

TEST(FrameBounds, OfARowReport) {
  EXPECT_TRUE(comes_back(&RowReportFrame::flow_mm3ps, 500'000));
  EXPECT_FALSE(comes_back(&RowReportFrame::flow_mm3ps, 500'001));
  EXPECT_TRUE(comes_back(&RowReportFrame::wanted_mm3ps, 500'000));
  EXPECT_FALSE(comes_back(&RowReportFrame::wanted_mm3ps, 500'001));
}

// What does not fit into its bytes is held at their ends: 24 bits end at 0xffffff, 16 at 0xffff,
// the acceleration at 127 steps of 0.02 m/s2.
TEST(FrameBounds, WhatDoesNotFitIsHeldAtTheEnds) {
  RowReportFrame report;
  report.flow_mm3ps = 0x1000000;
  report.wanted_mm3ps = -1;
  sillion_frame frame = encode(report);
  for (int byte = 10; byte < 13; ++byte) EXPECT_EQ(frame.bytes[byte], 0xff) << byte;
  for (int byte = 13; byte < 16; ++byte) EXPECT_EQ(frame.bytes[byte], 0) << byte;
  MotionFrame motion;
  motion.valid_ms = 65'536;
  motion.age_ms = -1;
  motion.accel_umps2 = 2'560'000;
  frame = encode(motion);
  EXPECT_EQ(frame.bytes[2], 0xff);
  EXPECT_EQ(frame.bytes[3], 0xff);
  EXPECT_EQ(frame.bytes[4], 0);
  EXPECT_EQ(frame.bytes[5], 0);
  EXPECT_EQ(frame.bytes[7], 127);
  motion.accel_umps2 = -2'600'000;
  EXPECT_EQ(encode(motion).bytes[7], 0x81);  // -127 in two's complement
}

sillion_frame on_the_bus(std::uint32_t id) {
  sillion_frame frame{};
  frame.id = id;
  frame.length = 8;
  frame.sender = 254;
  return frame;
}

void put(sillion_frame& frame, int at, std::uint32_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) frame.bytes[at + i] = static_cast<std::uint8_t>(value >> (8 * i));
}

// 20 000 steps of 0.001 m/s are 20 m/s.
TEST(FrameBounds, OfTheGroundSpeed) {
  sillion_frame frame = on_the_bus(SILLION_BUS_GROUND_SPEED);
  frame.bytes[7] = 0xfd;
  put(frame, 0, 20'000, 2);
  GroundSpeed speed;
  ASSERT_TRUE(decode(frame, speed));
  EXPECT_EQ(speed.speed_umps, 20'000'000);
  put(frame, 0, 20'001, 2);
  EXPECT_FALSE(decode(frame, speed));
  put(frame, 0, 5'000, 2);
  for (const int unknown : {0xfe, 0xff}) {
    frame.bytes[7] = static_cast<std::uint8_t>(unknown);
    EXPECT_FALSE(decode(frame, speed)) << "direction " << (unknown & 3);
  }
}

// 62 832 steps of 1e-4 rad are a full circle; 2000 steps of 0.01 m/s are 20 m/s. Course or speed
// may be missing alone.
TEST(FrameBounds, OfTheCourse) {
  sillion_frame frame = on_the_bus(SILLION_BUS_COURSE_SPEED);
  CourseSpeed read;
  put(frame, 2, 62'832, 2);
  put(frame, 4, 2'000, 2);
  ASSERT_TRUE(decode(frame, read));
  EXPECT_TRUE(read.course_known);
  EXPECT_TRUE(read.speed_known);
  EXPECT_EQ(read.course_urad, 6'283'200);
  EXPECT_EQ(read.speed_umps, 20'000'000);
  put(frame, 2, 62'833, 2);
  ASSERT_TRUE(decode(frame, read));
  EXPECT_FALSE(read.course_known);
  EXPECT_TRUE(read.speed_known);
  put(frame, 2, 1, 2);
  put(frame, 4, 2'001, 2);
  ASSERT_TRUE(decode(frame, read));
  EXPECT_TRUE(read.course_known);
  EXPECT_FALSE(read.speed_known);
  put(frame, 2, 0xffff, 2);
  put(frame, 4, 0xffff, 2);
  EXPECT_FALSE(decode(frame, read)) << "neither is known";
}

// 1000 l/ha of the field are 10 000 000 steps of 0.01 mm3/m2. Frames with another command or
// another identifier are none of ours, whatever value they hold.
TEST(FrameBounds, OfTheRate) {
  sillion_frame frame = on_the_bus(SILLION_BUS_RATE);
  frame.bytes[0] = 0x13;
  put(frame, 2, 1, 2);
  put(frame, 4, 10'000'000, 4);
  RateFrame rate;
  ASSERT_TRUE(decode(frame, rate));
  EXPECT_TRUE(rate.sets_rate);
  EXPECT_EQ(rate.field_e11, 10'000'000);
  put(frame, 4, 10'000'001, 4);
  EXPECT_FALSE(decode(frame, rate));
  put(frame, 4, 0xffffffff, 4);
  EXPECT_FALSE(decode(frame, rate)) << "a negative rate";
  for (const int command : {0x12, 0x14}) {
    frame.bytes[0] = static_cast<std::uint8_t>(command);
    ASSERT_TRUE(decode(frame, rate));
    EXPECT_FALSE(rate.sets_rate) << command;
  }
  frame.bytes[0] = 0x13;
  for (const std::uint32_t identifier : {0u, 2u, 257u}) {
    put(frame, 2, identifier, 2);
    ASSERT_TRUE(decode(frame, rate));
    EXPECT_FALSE(rate.sets_rate) << identifier;
  }
}

// Every reader takes only the frame that it is made for, with its length, from its sender.
TEST(FrameBounds, OnlyTheFramesOwnIdAndLengthAreTaken) {
  const auto judge = [](sillion_frame good, bool (*reads)(const sillion_frame&)) {
    ASSERT_TRUE(reads(good)) << good.id;
    for (const int by : {-1, 1}) {
      sillion_frame other = good;
      other.id = good.id + static_cast<std::uint32_t>(by);
      EXPECT_FALSE(reads(other)) << good.id << " id";
      other = good;
      other.length = static_cast<std::uint8_t>(good.length + by);
      EXPECT_FALSE(reads(other)) << good.id << " length";
    }
  };
  judge(encode(MotionFrame{}), &taken<MotionFrame>);
  judge(encode(SetPointFrame{}), &taken<SetPointFrame>);
  judge(encode(RowReportFrame{}), &taken<RowReportFrame>);
  sillion_frame ground = on_the_bus(SILLION_BUS_GROUND_SPEED);
  ground.bytes[7] = 1;
  judge(ground, &taken<GroundSpeed>);
  judge(on_the_bus(SILLION_BUS_COURSE_SPEED), &taken<CourseSpeed>);
  judge(on_the_bus(SILLION_BUS_RATE), &taken<RateFrame>);
  sillion_frame set_point = encode(SetPointFrame{});
  set_point.sender = 254;
  EXPECT_FALSE(taken<SetPointFrame>(set_point)) << "only the machine sets the rate";
}

}  // namespace
