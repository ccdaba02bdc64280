// Metres of a plane on the earth, against distances that Boost.Geometry computes on the ellipsoid
// (Vincenty's formula, better than a millimetre).
#include "sim/study/map/local_plane.h"

#include <gtest/gtest.h>

#include <boost/geometry.hpp>
#include <cmath>

namespace {

namespace bg = boost::geometry;
using Point = bg::model::point<double, 2, bg::cs::geographic<bg::degree>>;

using sim::map::GeoPoint;
using sim::map::LocalPlane;
using sim::map::PlanePoint;

double distance_m(const GeoPoint& one, const GeoPoint& other) {
  const bg::strategy::distance::vincenty<bg::srs::spheroid<double>> on_wgs84(
      bg::srs::spheroid<double>(6378137.0, 6356752.314245179));
  return bg::distance(Point(one.lon_deg, one.lat_deg), Point(other.lon_deg, other.lat_deg),
                      on_wgs84);
}

TEST(LocalPlane, KeepsDistancesFromItsOriginToAMillimetreAtAKilometre) {
  for (const double lat_deg : {-60.0, -1.0, 0.0, 30.0, 52.85, 80.0}) {
    const GeoPoint origin{lat_deg, 5.3};
    const LocalPlane plane(origin);
    for (const PlanePoint& place :
         {PlanePoint{1000, 0}, PlanePoint{0, -1000}, PlanePoint{600, 800}, PlanePoint{-800, 600}}) {
      const GeoPoint point = plane.geo_of(place);
      EXPECT_NEAR(distance_m(origin, point), 1000.0, 1e-3) << lat_deg;
      EXPECT_NEAR(plane.plane_of(point).east_m, place.east_m, 1e-3);
      EXPECT_NEAR(plane.plane_of(point).north_m, place.north_m, 1e-3);
    }
  }
}

// The header's error, d^3 / (3 R^2): 1 mm at 5 km. Vincenty's formula adds up to half of one.
TEST(LocalPlane, IsAMillimetreLongAtFiveKilometres) {
  const GeoPoint origin{45.0, -93.0};
  const double ground_m = distance_m(origin, LocalPlane(origin).geo_of({3000, 4000}));
  EXPECT_NEAR(5000.0 - ground_m, 5000.0 * 5000.0 * 5000.0 / (3 * 6.37e6 * 6.37e6), 0.6e-3);
}

TEST(LocalPlane, EastIsEastAndNorthIsNorth) {
  const LocalPlane plane({45.0, 10.0});
  EXPECT_EQ(plane.geo_of({0, 0}).lon_deg, 10.0);
  EXPECT_NEAR(plane.geo_of({0, 0}).lat_deg, 45.0, 1e-12);
  EXPECT_GT(plane.geo_of({0, 10}).lat_deg, 45.0);
  EXPECT_EQ(plane.geo_of({0, 10}).lon_deg, 10.0);
  EXPECT_GT(plane.geo_of({10, 0}).lon_deg, 10.0);
}

}  // namespace
