#include "sim/study/map/row_track.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "shared/check.h"

namespace sim::map {
namespace {

PlanePoint between(const PlanePoint& from, const PlanePoint& to) {
  return {to.east_m - from.east_m, to.north_m - from.north_m};
}

double length_m(const PlanePoint& one) {
  return std::sqrt(one.east_m * one.east_m + one.north_m * one.north_m);
}

/// The direction of `one`; `other` where it has none.
PlanePoint direction_of(const PlanePoint& one, const PlanePoint& other) {
  const double long_m = length_m(one);
  return long_m > 0.0 ? PlanePoint{one.east_m / long_m, one.north_m / long_m} : other;
}

/// The tangent at the free end of an arc, by its chord and the tangent at its other end.
PlanePoint mirrored(const PlanePoint& chord, const PlanePoint& tangent) {
  const PlanePoint along = direction_of(chord, tangent);
  const double twice_ratio =
      2.0 * (along.east_m * tangent.east_m + along.north_m * tangent.north_m);
  return {twice_ratio * along.east_m - tangent.east_m,
          twice_ratio * along.north_m - tangent.north_m};
}

}  // namespace

RowTrack::RowTrack(std::vector<TrackPoint> points) : points_(std::move(points)) {
  EXPECTS(!points_.empty());
  make_tangents();
}

void RowTrack::make_tangents() {
  const std::size_t count = points_.size();
  tangents_.assign(count, {0.0, 1.0});
  PlanePoint last{0.0, 1.0};  // a row that stands keeps its direction
  for (std::size_t i = 1; i + 1 < count; ++i) {
    // A row that runs backwards looks ahead all the same.
    const double sense_ratio = points_[i + 1].way_m < points_[i - 1].way_m ? -1.0 : 1.0;
    PlanePoint step = between(points_[i - 1].place, points_[i + 1].place);
    step = {sense_ratio * step.east_m, sense_ratio * step.north_m};
    tangents_[i] = last = direction_of(step, last);
  }
  if (count == 2) {
    const PlanePoint step = between(points_[0].place, points_[1].place);
    tangents_[0] = tangents_[1] = direction_of(step, last);
  } else if (count > 2) {
    tangents_[0] = mirrored(between(points_[0].place, points_[1].place), tangents_[1]);
    tangents_[count - 1] =
        mirrored(between(points_[count - 2].place, points_[count - 1].place), tangents_[count - 2]);
  }
}

PlanePoint RowTrack::at(double x_ground_m, std::size_t second) const {
  const std::size_t last = points_.size() - 1;
  std::size_t i = std::min(second, last == 0 ? 0 : last - 1);
  while (i + 1 < last && x_ground_m > points_[i + 1].way_m) ++i;
  while (i > 0 && x_ground_m < points_[i].way_m) --i;
  const std::size_t j = std::min(i + 1, last);
  const double way_m = points_[j].way_m - points_[i].way_m;
  const auto beyond = [&](std::size_t k) {
    const double ahead_m = x_ground_m - points_[k].way_m;
    return PlanePoint{points_[k].place.east_m + ahead_m * tangents_[k].east_m,
                      points_[k].place.north_m + ahead_m * tangents_[k].north_m};
  };
  if (way_m <= 0.0 || x_ground_m < points_[i].way_m) return beyond(i);
  if (x_ground_m > points_[j].way_m) return beyond(j);
  const double u_ratio = (x_ground_m - points_[i].way_m) / way_m, v_ratio = 1.0 - u_ratio;
  const double from_ratio = v_ratio * v_ratio * (1.0 + 2.0 * u_ratio);
  const double until_ratio = u_ratio * u_ratio * (1.0 + 2.0 * v_ratio);
  const double out_m = way_m * v_ratio * v_ratio * u_ratio;
  const double in_m = -way_m * u_ratio * u_ratio * v_ratio;
  const auto mixed_m = [&](double PlanePoint::* part) {
    return from_ratio * points_[i].place.*part + until_ratio * points_[j].place.*part +
           out_m * tangents_[i].*part + in_m * tangents_[j].*part;
  };
  return {mixed_m(&PlanePoint::east_m), mixed_m(&PlanePoint::north_m)};
}

}  // namespace sim::map
