// A field of straight passes, worked by hand on a plane of its own.
#include "sim/study/map/laid_field.h"

#include <gtest/gtest.h>

namespace {

using sim::map::GeoPoint;
using sim::map::LaidField;
using sim::map::LocalPlane;

constexpr GeoPoint kOrigin{45.5, -93.5};

void expect_at(const LaidField& field, double right_m, double ahead_m, double east_m,
               double north_m) {
  const auto at =
      LocalPlane(kOrigin).plane_of(field.at({right_m, ahead_m}, field.pass_of(ahead_m)));
  EXPECT_NEAR(at.east_m, east_m, 1e-3);
  EXPECT_NEAR(at.north_m, north_m, 1e-3);
}

TEST(LaidField, OnePassGoesOnInItsDirection) {
  const LaidField north({.origin = kOrigin}, 6.0);
  expect_at(north, -2.0, 700.0, -2.0, 700.0);
  const LaidField east({.origin = kOrigin, .heading_deg = 90.0}, 6.0);
  expect_at(east, 2.0, 700.0, 700.0, -2.0);
}

// Passes of 100 m and 6 m: at 130 m the machine comes back on the second pass, 70 m from its start,
// and its left side (-2 m) points to the east.
TEST(LaidField, PassesLieSideBySideToAndFro) {
  const LaidField field({.origin = kOrigin, .pass_length_m = 100.0}, 6.0);
  EXPECT_EQ(field.pass_of(-0.1), 0);
  EXPECT_EQ(field.pass_of(99.9), 0);
  EXPECT_EQ(field.pass_of(100.1), 1);
  expect_at(field, -2.0, 30.0, -2.0, 30.0);
  expect_at(field, -2.0, 130.0, 6.0 + 2.0, 70.0);
  expect_at(field, -2.0, 230.0, 12.0 - 2.0, 30.0);
}

}  // namespace
