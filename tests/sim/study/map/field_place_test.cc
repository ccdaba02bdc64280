// Where the rows of a run lie, laid or along a log.
#include "sim/study/map/field_place.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/text/input_error.h"
#include "tests/support/made_result.h"
#include "tests/support/run_program.h"

namespace {

using sim::map::FieldPlace;
using sim::map::GeoPoint;
using sim::map::LocalPlane;
using sim::scenario::NmeaDrive;
using support::ScratchFolder;
using ::testing::HasSubstr;

sim::map::KeptRun made_run(const support::MadeResult& made) {
  const ScratchFolder scratch;
  support::write_made_result(scratch.path(), made);
  return sim::map::read_kept_run(scratch.path());
}

/// At the equator to the east, a fix each second.
NmeaDrive eastwards(int fixes, double speed_mps) {
  NmeaDrive drive;
  for (int k = 0; k < fixes; ++k) {
    const double lon_deg = k * speed_mps / 6378137.0 * 180.0 / 3.14159265358979;
    drive.knots.push_back({static_cast<double>(k), speed_mps, 0.0});
    drive.fixes.push_back({static_cast<double>(k), 36000.0 + k, 14111, 0.0, lon_deg, 90.0});
  }
  return drive;
}

TEST(FieldPlace, ALaidPassBeginsAtTheOrigin) {
  const GeoPoint origin{45.5, -93.5};
  const FieldPlace place = FieldPlace::laid(made_run({.rows = 3}), {.origin = origin});
  const LocalPlane plane(origin);
  EXPECT_TRUE(place.invented());
  const auto start = plane.plane_of(place.from(2, 0));
  EXPECT_NEAR(start.east_m, 0.75, 1e-6);
  EXPECT_NEAR(start.north_m, 0.0, 1e-6);
  const auto band = plane.plane_of(place.of_band(0, 9.5, 2));
  EXPECT_NEAR(band.east_m, -0.75, 1e-6);
  EXPECT_NEAR(band.north_m, 9.5, 1e-6);
  EXPECT_NEAR(plane.plane_of(place.of_machine(3)).north_m, 12.0, 1e-6);
}

// To the east the right-hand row lies to the south.
TEST(FieldPlace, ALoggedPassLiesAlongItsLog) {
  const FieldPlace place = FieldPlace::logged(made_run({.rows = 3}), eastwards(5, 4.0), "a.nmea");
  const LocalPlane plane({0.0, 0.0});
  EXPECT_FALSE(place.invented());
  const auto band = plane.plane_of(place.of_band(2, 6.0, 1));
  EXPECT_NEAR(band.east_m, 6.0, 1e-3);
  EXPECT_NEAR(band.north_m, -0.75, 1e-6);
  EXPECT_EQ(place.clock().day, 14111);
  EXPECT_EQ(place.clock().time_of_day_s, 36000.0);
}

TEST(FieldPlace, TheLogOfAnotherDriveIsRefused) {
  EXPECT_THAT([] { FieldPlace::logged(made_run({}), eastwards(5, 4.1), "a.nmea"); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("a.nmea: is not the log of this pass: at 1.0")));
}

TEST(FieldPlace, ACurveIsNotCutIntoPasses) {
  sim::map::KeptRun run = made_run({});
  run.applied[2].east_m += 0.5;
  EXPECT_THAT([&] { FieldPlace::laid(run, {.pass_length_m = 5.0}); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("--pass-length: this pass is not straight")));
}

}  // namespace
