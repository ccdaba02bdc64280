// Measured points and tape readings as people type them, and which of them are refused.
#include "sim/text/csv_table.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/study/delay/delay_points_csv.h"
#include "sim/study/delay/strip_readings_csv.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::HasSubstr;

const std::string kHead = "speed [km/h],delay [ms],offset [mm],uncertainty [mm]\n";

std::string points_error(const std::string& text) {
  const ScratchFolder folder;
  try {
    sim::delay::read_delay_points(folder.write("points.csv", text));
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "taken";
}

std::string strip_error(const std::string& text) {
  const ScratchFolder folder;
  try {
    sim::delay::read_strip_readings(folder.write("strip.csv", text));
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "taken";
}

}  // namespace

TEST(DelayPoints, AnyOrderOfColumnsAndAnyUnit) {
  const ScratchFolder folder;
  const auto points = sim::delay::read_delay_points(
      folder.write("points.csv",
                   "# bench, water\n\nrow;uncertainty_mm;\"offset (in)\";delay [s];speed [mph]\r\n"
                   "3;1.5;-0.5;0.09;10  # warm\r\n"));
  ASSERT_EQ(points.size(), 1u);
  EXPECT_EQ(points[0].row, 3);
  EXPECT_EQ(points[0].line, 4);
  EXPECT_DOUBLE_EQ(points[0].uncertainty_m, 0.0015);
  EXPECT_DOUBLE_EQ(points[0].offset_m, -0.0127);  // half an inch
  EXPECT_DOUBLE_EQ(points[0].speed_mps, 4.4704);  // 10 mph
  EXPECT_DOUBLE_EQ(points[0].delay_s, 0.09);
}

TEST(DelayPoints, MistakesAreNamedWithLineAndKey) {
  EXPECT_THAT(points_error("sped [km/h],delay [ms],offset [mm],uncertainty [mm]\n1,2,3,4\n"),
              HasSubstr("points.csv:1: sped: no such column; nearest valid name: `speed`"));
  EXPECT_THAT(points_error("speed,delay [ms],offset [mm],uncertainty [mm]\n"),
              HasSubstr(":1: speed: has no unit"));
  EXPECT_THAT(points_error("speed [mm],delay [ms],offset [mm],uncertainty [mm]\n"),
              HasSubstr("is not a unit of speed"));
  EXPECT_THAT(points_error("speed [km/h],delay [ms],offset [mm]\n"),
              HasSubstr("uncertainty: this column is missing"));
  EXPECT_THAT(points_error("speed [km/h],speed [mph]\n"), HasSubstr("speed: appears twice"));
  EXPECT_THAT(points_error(kHead + "16,90,1,5,2\n"), HasSubstr(":2: this line has 5 cells"));
  EXPECT_THAT(points_error(kHead + "16,90,1,5,2\n"), HasSubstr("write a point"));
  EXPECT_THAT(points_error(kHead + "16,90,\"1,5\",2\n"),
              HasSubstr("offset: \"1,5\" has a decimal"));
  EXPECT_THAT(points_error(kHead + "16,90,1.5,0\n"), HasSubstr("uncertainty: \"0\" is out of"));
  EXPECT_THAT(points_error(kHead + "16,90,1.5,-1\n"), HasSubstr("above 0 mm"));
  EXPECT_THAT(points_error(kHead + "16,90,x,1\n"), HasSubstr("offset: \"x\" is not a number"));
  EXPECT_THAT(points_error(kHead + "16,90,nan,1\n"), HasSubstr("is not a number"));
  EXPECT_THAT(points_error(kHead + "16,90,,1\n"), HasSubstr("offset: is empty"));
  EXPECT_THAT(points_error(kHead), HasSubstr("holds no lines"));
  EXPECT_THAT(points_error(""), HasSubstr("is empty"));
  EXPECT_THAT(points_error(std::string("\x01\x02\x00\xff", 4)), HasSubstr("binary file"));
  EXPECT_THAT(
      points_error("speed [km/h],delay [ms],offset [mm],uncertainty [mm],row\n1,1,1,1,1.5\n"),
      HasSubstr("row: \"1.5\" is not a whole number"));
}

TEST(StripReadings, AnUnreadBandIsLeftOut) {
  const ScratchFolder folder;
  const auto readings = sim::delay::read_strip_readings(folder.write(
      "strip.csv",
      "speed [km/h],run,row,band,offset [mm]\n16,0,2,0,3.5\n16,0,2,1,\n16,1,2,0,-4\n"));
  ASSERT_EQ(readings.size(), 2u);
  EXPECT_EQ(readings[1].run, 1);
  EXPECT_DOUBLE_EQ(readings[1].offset_m, -0.004);
}

TEST(StripReadings, ABandStandsOnce) {
  EXPECT_THAT(strip_error("speed [km/h],row,band,offset [mm]\n16,2,0,3\n16,2,0,4\n"),
              HasSubstr(":3: band: this band is already in line 2;"));
  EXPECT_THAT(strip_error("speed [km/h],row,band,offset [mm]\n16,2,0,\n"),
              HasSubstr("no band was read"));
}
