#include "sim/study/map/local_plane.h"

#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace sim::map {
namespace {

constexpr double kDegree_rad = shared::kPi_ratio / 180.0;
constexpr double kEquator_m = 6378137.0;  // a
constexpr double kFlattening_ratio = 1.0 / 298.257223563;
constexpr double kPole_m = kEquator_m * (1.0 - kFlattening_ratio);  // b
constexpr double kE2_ratio = kFlattening_ratio * (2.0 - kFlattening_ratio);
constexpr double kSecondE2_ratio = kE2_ratio / (1.0 - kE2_ratio);

double across_m(double sin_ratio) {
  return kEquator_m / std::sqrt(1.0 - kE2_ratio * sin_ratio * sin_ratio);
}

}  // namespace

LocalPlane::LocalPlane(const GeoPoint& origin) : origin_(origin) {
  EXPECTS(std::fabs(origin.lat_deg) <= 89.0 && std::fabs(origin.lon_deg) <= 360.0);
  sin_ratio_ = model::sin_of(origin.lat_deg * kDegree_rad);
  cos_ratio_ = model::cos_of(origin.lat_deg * kDegree_rad);
  axial_m_ = across_m(sin_ratio_) * cos_ratio_;
  polar_m_ = across_m(sin_ratio_) * (1.0 - kE2_ratio) * sin_ratio_;
}

GeoPoint LocalPlane::geo_of(const PlanePoint& place) const {
  // x points from the axis to the origin's meridian, y to the east, z to the north pole.
  const double x_m = axial_m_ - place.north_m * sin_ratio_;
  const double y_m = place.east_m;
  const double z_m = polar_m_ + place.north_m * cos_ratio_;
  const double axis_m = std::sqrt(x_m * x_m + y_m * y_m);
  const double reduced_rad = model::atan2_of(z_m * kEquator_m, axis_m * kPole_m);
  const double s_ratio = model::sin_of(reduced_rad), c_ratio = model::cos_of(reduced_rad);
  const double lat_rad =
      model::atan2_of(z_m + kSecondE2_ratio * kPole_m * s_ratio * s_ratio * s_ratio,
                      axis_m - kE2_ratio * kEquator_m * c_ratio * c_ratio * c_ratio);
  return {lat_rad / kDegree_rad, origin_.lon_deg + model::atan2_of(y_m, x_m) / kDegree_rad};
}

PlanePoint LocalPlane::plane_of(const GeoPoint& point) const {
  const double sin_ratio = model::sin_of(point.lat_deg * kDegree_rad);
  const double cos_ratio = model::cos_of(point.lat_deg * kDegree_rad);
  const double turned_rad = (point.lon_deg - origin_.lon_deg) * kDegree_rad;
  const double axis_m = across_m(sin_ratio) * cos_ratio;
  const double x_m = axis_m * model::cos_of(turned_rad) - axial_m_;
  const double z_m = across_m(sin_ratio) * (1.0 - kE2_ratio) * sin_ratio - polar_m_;
  return {axis_m * model::sin_of(turned_rad), z_m * cos_ratio_ - x_m * sin_ratio_};
}

}  // namespace sim::map
