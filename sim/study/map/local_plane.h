// A plane that touches the earth at an origin, and where its places lie: metres east and north to
// latitude and longitude on WGS 84.
//
//   N(lat) = a / sqrt(1 - e2 sin2 lat), radius of curvature across the meridian
//   place  = origin + east * e + north * n in the earth-centred frame, with the unit vectors e and
//            n of the origin; from there back to latitude and longitude by Bowring's formula, with
//            the height above the ellipsoid (78 mm at 1 km) left out
//
// Frame    east and north of the origin, which are those of its own meridian all over the plane
// Shapes   a place in, a place out
// Errors   a distance d on the plane is longer than on the ground by d^3 / (3 R^2): 0.01 mm at
//          1 km, 1 mm at 5 km, 8 mm at 10 km. EXPECTS an origin between 89 degrees south and north
// Source   WGS 84: a = 6378137 m, 1/f = 298.257223563 (NIMA TR8350.2, 3rd edition, table 3.1);
//          B. R. Bowring, Transformation from spatial to geographical coordinates, Survey Review
//          181 (1976); both from memory
// Checked  tests/sim/study/map/local_plane_test.cc
#pragma once

namespace sim::map {

struct GeoPoint {
  double lat_deg = 0.0;
  double lon_deg = 0.0;
};

struct PlanePoint {
  double east_m = 0.0;
  double north_m = 0.0;
};

class LocalPlane {
 public:
  explicit LocalPlane(const GeoPoint& origin);
  GeoPoint geo_of(const PlanePoint& place) const;
  /// The place on the plane above or below a point of the ground.
  PlanePoint plane_of(const GeoPoint& point) const;
  const GeoPoint& origin() const { return origin_; }

 private:
  GeoPoint origin_;
  double sin_ratio_ = 0.0, cos_ratio_ = 1.0;  // of the origin's latitude
  double axial_m_ = 0.0, polar_m_ = 0.0;      // the origin's distance from axis and equator
};

}  // namespace sim::map
