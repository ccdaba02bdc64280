// A recorded drive on the plane of its first fix.
#include "sim/study/map/drive_way.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::map::drive_way;
using sim::map::DriveWay;
using sim::scenario::NmeaDrive;
using sim::scenario::NmeaFix;
using ::testing::HasSubstr;

constexpr double kNone_deg = std::numeric_limits<double>::quiet_NaN();

/// A fix each second, to the east by 4 m: 4 m / (6378137 m) of an angle at the equator.
NmeaDrive eastwards(int fixes) {
  NmeaDrive drive;
  for (int k = 0; k < fixes; ++k) {
    const double lon_deg = k * 4.0 / 6378137.0 * 180.0 / 3.14159265358979;
    drive.knots.push_back({static_cast<double>(k), 4.0, 0.0});
    drive.fixes.push_back({static_cast<double>(k), 36000.0 + k, 14111, 0.0, lon_deg, 90.0});
  }
  return drive;
}

TEST(DriveWay, GoesFromFixToFix) {
  const DriveWay way = drive_way(eastwards(6), "a.nmea", 5, 4.5);
  ASSERT_EQ(way.places.size(), 6u);
  for (int k = 0; k <= 4; ++k) {
    EXPECT_NEAR(way.places[static_cast<std::size_t>(k)].place.east_m, 4.0 * k, 1e-4);
    EXPECT_NEAR(way.places[static_cast<std::size_t>(k)].east_ratio, 1.0, 1e-12);
    EXPECT_NEAR(way.places[static_cast<std::size_t>(k)].north_ratio, 0.0, 1e-12);
  }
  EXPECT_NEAR(way.places[5].place.east_m, 18.0, 1e-4);  // the last second is short
}

TEST(DriveWay, AFixWithoutPlaceOrCourseIsBridged) {
  NmeaDrive drive = eastwards(6);
  drive.fixes[2].lat_deg = kNone_deg;
  drive.fixes[3].course_deg = kNone_deg;
  const DriveWay way = drive_way(drive, "a.nmea", 5, 5.0);
  EXPECT_NEAR(way.places[2].place.east_m, 8.0, 1e-4);
  EXPECT_NEAR(way.places[3].east_ratio, 1.0, 1e-12);
}

TEST(DriveWay, ALogThatCannotPlaceThePassIsRefused) {
  NmeaDrive drive = eastwards(6);
  EXPECT_THAT([&] { drive_way(drive, "a.nmea", 7, 7.0); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("a.nmea: its last fix is 5 s after the first, and the pass took 7 s")));
  for (NmeaFix& fix : drive.fixes) fix.lon_deg = kNone_deg;
  EXPECT_THAT([&] { drive_way(drive, "a.nmea", 5, 5.0); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("fewer than two fixes with latitude and longitude")));
}

// The recorded log's first fix, read by hand in tests/data/recorded_drive.nmea:
// RMC 094736, A, 5251.0093 N, 00518.8170 E or as it stands there, on 20 August 2018.
TEST(DriveWay, ARealLogHasPlacesAndDates) {
  const NmeaDrive drive = sim::scenario::read_nmea(
      support::text_of(SILLION_SOURCE_DIR "/tests/data/recorded_drive.nmea"));
  ASSERT_GE(drive.fixes.size(), 140u);
  ASSERT_EQ(drive.fixes.size(), drive.knots.size());
  EXPECT_NEAR(drive.fixes[0].lat_deg, 52.0 + 51.0 / 60.0, 1e-3);
  EXPECT_NEAR(drive.fixes[0].lon_deg, 5.0 + 18.8 / 60.0, 1e-3);
  EXPECT_EQ(drive.fixes[0].day, 14111);  // days from 1980-01-01 to 2018-08-20
  EXPECT_NEAR(drive.fixes[0].time_of_day_s, 9 * 3600 + 47 * 60 + 36, 2.0);
}

}  // namespace
