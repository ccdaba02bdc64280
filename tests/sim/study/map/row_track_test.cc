// A row's way between whole seconds, against straight lines and circles.
#include "sim/study/map/row_track.h"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using sim::map::PlanePoint;
using sim::map::RowTrack;
using sim::map::TrackPoint;

TEST(RowTrack, AStraightWayIsExactAndGoesOnAtBothEnds) {
  const RowTrack track({{{3, 0}, 0}, {{3, 4}, 4}, {{3, 12}, 12}, {{3, 13}, 13}});
  for (const double x_m : {-0.5, 0.0, 1.25, 4.0, 11.0, 12.5, 14.0}) {
    EXPECT_NEAR(track.at(x_m, 0).north_m, x_m, 1e-12);
    EXPECT_NEAR(track.at(x_m, 2).north_m, x_m, 1e-12);
    EXPECT_NEAR(track.at(x_m, 1).east_m, 3.0, 1e-12);
  }
}

// On a circle of 10 m at 4.4 m a second the header promises 10 m * 0.44^4 / 384 = 1.0 mm, and as
// much again is left for the tangents at the ends.
TEST(RowTrack, ACircleIsMetToAMillimetre) {
  constexpr double kRadius_m = 10.0, kStep_m = 4.4;
  std::vector<TrackPoint> points;
  for (int k = 0; k <= 10; ++k) {
    const double turned_rad = k * kStep_m / kRadius_m;
    points.push_back(
        {{kRadius_m - kRadius_m * std::cos(turned_rad), kRadius_m * std::sin(turned_rad)},
         k * kStep_m});
  }
  const RowTrack track(points);
  for (int k = 0; k < 440; ++k) {
    const double x_m = 0.1 * k, turned_rad = x_m / kRadius_m;
    const PlanePoint at = track.at(x_m, static_cast<std::size_t>(x_m / kStep_m));
    EXPECT_NEAR(at.east_m, kRadius_m - kRadius_m * std::cos(turned_rad), 2e-3) << x_m;
    EXPECT_NEAR(at.north_m, kRadius_m * std::sin(turned_rad), 2e-3) << x_m;
  }
}

TEST(RowTrack, ARowThatStandsOrGoesBackIsFoundByItsSecond) {
  // ahead by 4 m, stands, back by 2 m, ahead again
  const RowTrack track({{{0, 0}, 0}, {{0, 4}, 4}, {{0, 4}, 4}, {{0, 2}, 2}, {{0, 6}, 6}});
  EXPECT_NEAR(track.at(1.0, 0).north_m, 1.0, 1e-12);
  EXPECT_NEAR(track.at(4.0, 1).north_m, 4.0, 1e-12);
  EXPECT_NEAR(track.at(5.0, 3).north_m, 5.0, 0.3);
}

}  // namespace
