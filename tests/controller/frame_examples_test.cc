// Who ports a controller checks its bytes by the examples in shared/row_frames.h: the reference
// makes exactly those bytes of what each example says, and reads the same values back from them.
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <regex>
#include <string>
#include <vector>

#include "controller/frames.h"

namespace {

using namespace controller;

std::string header() {
  std::ifstream in(std::string(SILLION_SOURCE_DIR) + "/shared/row_frames.h");
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// The frame of the example that stands under this heading, as it comes from this sender.
sillion_frame example(const std::string& heading, std::uint32_t id, std::uint8_t sender) {
  const std::string text = header();
  const std::size_t at = text.find("/* " + heading + ", id");
  EXPECT_NE(at, std::string::npos) << heading;
  const std::string part = text.substr(at, text.find("*/", at) - at);
  std::smatch found;
  EXPECT_TRUE(std::regex_search(
      part, found, std::regex("Example: [^*]*(?:\\n \\* [^*]*)*\\n \\*   ((?:[0-9a-f]{2} ?)+)\\n")))
      << part;
  sillion_frame frame{};
  frame.id = id;
  frame.sender = sender;
  const std::string bytes = found[1].str();
  for (std::size_t k = 0; k + 1 < bytes.size() && frame.length < SILLION_FRAME_BYTES; k += 3)
    frame.bytes[frame.length++] =
        static_cast<std::uint8_t>(std::stoi(bytes.substr(k, 2), nullptr, 16));
  EXPECT_NE(part.find(std::to_string(frame.length) + " bytes:"), std::string::npos) << heading;
  return frame;
}

void expect_same(const sillion_frame& made, const sillion_frame& said) {
  EXPECT_EQ(made.id, said.id);
  EXPECT_EQ(made.sender, said.sender);
  ASSERT_EQ(made.length, said.length);
  for (int k = 0; k < said.length; ++k) EXPECT_EQ(made.bytes[k], said.bytes[k]) << "byte " << k;
}

TEST(FrameExamples, GroundSpeed) {
  GroundSpeed speed;
  ASSERT_TRUE(decode(example("GROUND SPEED", SILLION_BUS_GROUND_SPEED, 254), speed));
  EXPECT_EQ(speed.speed_umps, 4'444'000);
}

TEST(FrameExamples, CourseAndSpeed) {
  CourseSpeed course;
  ASSERT_TRUE(decode(example("COURSE AND SPEED", SILLION_BUS_COURSE_SPEED, 254), course));
  EXPECT_TRUE(course.course_known);
  EXPECT_EQ(course.course_urad, 1'570'800);
  EXPECT_TRUE(course.speed_known);
  EXPECT_EQ(course.speed_umps, 4'440'000);
}

TEST(FrameExamples, Rate) {
  RateFrame rate;
  ASSERT_TRUE(decode(example("RATE", SILLION_BUS_RATE, 254), rate));
  EXPECT_TRUE(rate.sets_rate);
  EXPECT_EQ(rate.field_e11, 233'850);
}

TEST(FrameExamples, Motion) {
  const sillion_frame said = example("MOTION", SILLION_FRAME_MOTION, 255);
  MotionFrame motion;
  ASSERT_TRUE(decode(said, motion));
  EXPECT_EQ(motion.sequence, 4660);
  EXPECT_EQ(motion.valid_ms, 500);
  EXPECT_EQ(motion.age_ms, 7);
  EXPECT_EQ(motion.work, SILLION_INPUT_LOWERED | SILLION_INPUT_RUN);
  EXPECT_EQ(motion.accel_umps2, -500'000);
  EXPECT_EQ(motion.speed_umps, -1'234'567);
  EXPECT_EQ(motion.yaw_uradps, 74'074);
  expect_same(encode(motion), said);
}

TEST(FrameExamples, SetPoint) {
  const sillion_frame said = example("SET POINT", SILLION_FRAME_SETPOINT, 255);
  SetPointFrame set_point;
  ASSERT_TRUE(decode(said, set_point));
  EXPECT_EQ(set_point.sequence, 7);
  EXPECT_EQ(set_point.valid_ms, 1000);
  EXPECT_EQ(set_point.rate_nm, 4677);
  EXPECT_EQ(set_point.pressure_pa, 280'000);
  EXPECT_EQ(set_point.machine_us, 1'234'567u);
  expect_same(encode(set_point), said);
}

TEST(FrameExamples, RowReport) {
  const sillion_frame said = example("ROW REPORT", SILLION_FRAME_ROW_REPORT, 3);
  RowReportFrame row;
  ASSERT_TRUE(decode(said, row));
  EXPECT_EQ(row.sequence, 258);
  EXPECT_EQ(row.row, 3);
  EXPECT_EQ(row.state, kFlowValid | kSetsLift);
  EXPECT_EQ(row.alarms, SILLION_ALARM_LOW_FLOW | SILLION_ALARM_WORN);
  EXPECT_EQ(row.seeds, 70'000 - 65'536);
  EXPECT_EQ(row.bands, 69'000 - 65'536);
  EXPECT_EQ(row.flow_mm3ps, 15'800);
  EXPECT_EQ(row.wanted_mm3ps, 16'000);
  expect_same(encode(row), said);
}

}  // namespace
