// The reader of recorded drives against hand-made logs and against the positions in a real one.
#include "sim/scenario/nmea_log.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <string>

namespace {

constexpr double kKnot_mps = 1852.0 / 3600.0;
constexpr double kDegree_rad = 3.14159265358979323846 / 180.0;

// Adds $, checksum and line end to the body of a sentence.
std::string sentence(const std::string& body) {
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  static const char* kHex = "0123456789ABCDEF";
  return "$" + body + "*" + kHex[sum >> 4] + kHex[sum & 15] + "\r\n";
}

std::string fix(const std::string& time, const std::string& knots, const std::string& course,
                const std::string& status = "A") {
  return sentence("GPRMC," + time + "," + status + ",5206.00,N,09330.00,W," + knots + "," + course +
                  ",010526,,,A");
}

std::string recorded_drive() {
  std::ifstream in(SILLION_SOURCE_DIR "/tests/data/recorded_drive.nmea", std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

// Sentences that an independent reader accepted (npm nmea-simple 3.3.0): checksums 57 and 2E.
TEST(NmeaLog, GoldenSentencesAreRead) {
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(
      "$GPRMC,120000.20,A,5206.00000,N,09330.00000,W,5.400,045.0,010526,,,S*57\r\n"
      "$GPVTG,045.0,T,,M,5.400,N,10.000,K,S*2E\r\n" +
      fix("120001.20", "5.400", "045.0"));
  ASSERT_EQ(drive.knots.size(), 2u);
  EXPECT_DOUBLE_EQ(drive.knots[0].speed_mps, 5.4 * kKnot_mps);
  EXPECT_NEAR(drive.knots[0].speed_mps * 3.6, 10.0008, 1e-9);
  EXPECT_NEAR(drive.knots[1].time_s, 1.0, 1e-9);
  EXPECT_EQ(drive.counts.fixes, 2);
  EXPECT_EQ(drive.counts.bad_checksum, 0);
}

TEST(NmeaLog, AWrongChecksumIsPassedOverAndCounted) {
  std::string bad = fix("120001", "9.9", "0");
  bad[bad.find("9.9")] = '8';
  const std::string text = fix("120000", "5", "0") + bad + fix("120002", "5", "0") +
                           "$GPRMC,120003,A,5206.0,N,09330.0,W,5.0,0.0,010526,,,A\r\n";
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(text);
  EXPECT_EQ(drive.counts.fixes, 2);
  EXPECT_EQ(drive.counts.bad_checksum, 2);  // one wrong, one missing
  for (const auto& knot : drive.knots) EXPECT_DOUBLE_EQ(knot.speed_mps, 5 * kKnot_mps);
}

TEST(NmeaLog, VoidFixesAndOtherSentencesAreCounted) {
  const std::string text = fix("120000", "5", "0") + fix("120001", "", "", "V") +
                           sentence("GPGGA,120001,5206.0,N,09330.0,W,1,12,0.6,250,M,46.8,M,,") +
                           fix("120002", "5", "0") + sentence("PXYZ,1");
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(text);
  EXPECT_EQ(drive.counts.fixes, 2);
  EXPECT_EQ(drive.counts.void_fixes, 1);
  EXPECT_EQ(drive.counts.other, 2);
  EXPECT_EQ(drive.counts.lines, 5);
}

TEST(NmeaLog, BinaryJunkBetweenAndBeforeSentencesIsPassedOver) {
  std::string junk(300, '\0');
  for (std::size_t i = 0; i < junk.size(); ++i) junk[i] = static_cast<char>(i * 37 % 251);
  std::erase(junk, '$');
  std::erase(junk, '\n');
  const std::string text = junk + "\n" + junk + fix("120000", "5", "0") + "$$$\n$\n*\n,\n" +
                           fix("120001", "5", "0") + junk;
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(text);
  EXPECT_EQ(drive.counts.fixes, 2);
  EXPECT_GE(drive.counts.malformed + drive.counts.bad_checksum, 5);
}

TEST(NmeaLog, BareLineEndsAndMissingLastLineEndAreRead) {
  std::string text = fix("120000", "5", "0") + fix("120001", "6", "0");
  std::erase(text, '\r');
  text.pop_back();
  EXPECT_EQ(sim::scenario::read_nmea(text).counts.fixes, 2);
}

TEST(NmeaLog, AGapIsCountedAndBridgedInAStraightLine) {
  const std::string text = fix("120000", "4", "10") + fix("120001", "4", "20") +
                           fix("120011", "8", "90") + fix("120012", "8", "100");
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(text);
  EXPECT_EQ(drive.counts.gaps, 1);
  EXPECT_DOUBLE_EQ(drive.counts.gap_time_s, 10.0);
  EXPECT_DOUBLE_EQ(drive.counts.longest_gap_s, 10.0);
  ASSERT_EQ(drive.knots.size(), 4u);
  for (const auto& knot : drive.knots) EXPECT_EQ(knot.yaw_rate_radps, 0.0);
  const model::Travel travel = model::make_travel(drive.knots);
  EXPECT_NEAR(model::motion_at(travel, 6.0).speed_mps, 6 * kKnot_mps, 1e-12);
}

// A steady right-hand turn of 6 degrees a second through north: clockwise is positive.
TEST(NmeaLog, CourseDifferencesGiveTheYawRateTheShortWayRound) {
  const sim::scenario::NmeaDrive right = sim::scenario::read_nmea(
      fix("120000", "5", "354") + fix("120001", "5", "0") + fix("120002", "5", "6"));
  ASSERT_EQ(right.knots.size(), 3u);
  EXPECT_NEAR(right.knots[1].yaw_rate_radps, 6 * kDegree_rad, 1e-12);
  const sim::scenario::NmeaDrive left = sim::scenario::read_nmea(
      fix("120000", "5", "6") + fix("120001", "5", "0") + fix("120002", "5", "354"));
  EXPECT_NEAR(left.knots[1].yaw_rate_radps, -6 * kDegree_rad, 1e-12);
}

// A receiver at rest reports any course; it must not spin the toolbar.
TEST(NmeaLog, ACourseAtRestTurnsNothing) {
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(
      fix("120000", "0.0", "12") + fix("120001", "0.1", "190") + fix("120002", "0.0", "300"));
  for (const auto& knot : drive.knots) EXPECT_EQ(knot.yaw_rate_radps, 0.0);
}

TEST(NmeaLog, MidnightIsOneSecondLikeAnyOther) {
  const sim::scenario::NmeaDrive drive =
      sim::scenario::read_nmea(fix("235959.50", "5", "0") + fix("000000.50", "5", "0"));
  ASSERT_EQ(drive.knots.size(), 2u);
  EXPECT_DOUBLE_EQ(drive.knots[1].time_s, 1.0);
}

TEST(NmeaLog, RepeatedAndEarlierTimesAreLeftOut) {
  const sim::scenario::NmeaDrive drive =
      sim::scenario::read_nmea(fix("120000", "5", "0") + fix("120000", "7", "0") +
                               fix("115959", "7", "0") + fix("120001", "5", "0"));
  EXPECT_EQ(drive.counts.out_of_order, 2);
  EXPECT_EQ(drive.counts.fixes, 2);
}

TEST(NmeaLog, VtgFillsInWhatRmcLeavesEmpty) {
  const std::string vtg = sentence("GPVTG,045.0,T,,M,,N,10.8,K,A");
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(
      fix("120000", "", "") + vtg + fix("120001", "", "") + vtg + fix("120002", "", ""));
  EXPECT_EQ(drive.counts.fixes, 2);
  EXPECT_EQ(drive.counts.incomplete, 1);
  ASSERT_EQ(drive.knots.size(), 2u);
  EXPECT_DOUBLE_EQ(drive.knots[0].speed_mps, 3.0);
}

TEST(NmeaLog, UnreadableNumbersAreMalformed) {
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(
      fix("126000", "5", "0") + fix("250000", "5", "0") + fix("12000", "5", "0") +
      fix("120000", "five", "0") + fix("120000", "-5", "0") + fix("120000", "nan", "0") +
      sentence("GPRMC,120000,A") + sentence("GPVTG,1"));
  EXPECT_EQ(drive.counts.malformed, 8);
  EXPECT_TRUE(drive.knots.empty());
}

TEST(NmeaLog, AnEmptyLogGivesAnEmptyDrive) {
  EXPECT_TRUE(sim::scenario::read_nmea("").knots.empty());
  EXPECT_TRUE(
      sim::scenario::read_nmea(fix("120000", "5", "0")).knots.empty());  // one fix is no drive
}

// The distance by our speeds against the receiver's own first and last position: 52d51.0093m N,
// 005d18.8170m E and 52d50.8736m N, 005d18.5095m E. One minute of latitude is one nautical mile;
// the boat held its course, so the distance is at most a little longer than the straight line.
TEST(NmeaLog, RecordedDriveGoesAsFarAsItsPositions) {
  const sim::scenario::NmeaDrive drive = sim::scenario::read_nmea(recorded_drive());
  ASSERT_GT(drive.knots.size(), 100u);
  const double north_m = (51.0093 - 50.8736) * 1852.0;
  const double east_m = (18.8170 - 18.5095) * 1852.0 * std::cos(52.85 * kDegree_rad);
  const double straight_m = std::hypot(north_m, east_m);
  const double gone_m = model::make_travel(drive.knots).distance_m.back();
  EXPECT_GT(gone_m, straight_m * 0.99);
  EXPECT_LT(gone_m, straight_m * 1.03);
  EXPECT_EQ(drive.counts.bad_checksum, 0);
  EXPECT_GT(drive.counts.other, 4000);
  for (const auto& knot : drive.knots) {
    EXPECT_GT(knot.speed_mps * 3.6, 7.5);
    EXPECT_LT(knot.speed_mps * 3.6, 12.5);
  }
}
