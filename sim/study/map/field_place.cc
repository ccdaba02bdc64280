#include "sim/study/map/field_place.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/machine/travel.h"
#include "sim/study/map/drive_way.h"
#include "sim/text/input_error.h"

namespace sim::map {
namespace {

constexpr double kSame_m = 1e-3;  // ways of the same drive differ by roundings alone

/// How far each row had come along its track at each whole second, one more than seconds.
std::vector<double> way_of(const KeptRun& run, std::size_t row) {
  std::vector<double> way_m = {0.0};
  for (std::size_t second = 0; second < run.seconds; ++second)
    way_m.push_back(way_m.back() + run.at(row, second).way_m);
  return way_m;
}

/// The rows' tracks as applied.csv has them. Where a row was at the very end is not in it: the last
/// second goes on in the direction of the one before, by its way.
RowTrack applied_track(const KeptRun& run, std::size_t row, const std::vector<double>& way_m) {
  std::vector<TrackPoint> points;
  for (std::size_t second = 0; second < run.seconds; ++second)
    points.push_back({{run.at(row, second).east_m, run.at(row, second).north_m}, way_m[second]});
  PlanePoint end = points.back().place;
  if (points.size() == 1)
    end.north_m += way_m.back();
  else
    end = RowTrack(points).at(way_m.back(), run.seconds - 1);
  points.push_back({end, way_m.back()});
  return RowTrack(std::move(points));
}

void require_straight(const KeptRun& run) {
  for (const run::AppliedSecond& one : run.applied)
    if (std::fabs(one.east_m - run.at(static_cast<std::size_t>(one.row), 0).east_m) > kSame_m ||
        one.way_m < 0.0)
      throw text::InputError(
          "--pass-length: this pass is not straight, so it cannot be cut into passes; leave the "
          "option out and the pass lies as it was driven");
}

void require_same_drive(const KeptRun& run, const scenario::NmeaDrive& drive,
                        const std::string& log) {
  const model::Travel travel = model::make_travel(drive.knots);
  double way_m = 0.0;
  for (std::size_t second = 0; second < run.seconds; ++second) {
    for (std::size_t row = 0; row < run.rows; ++row)
      way_m += run.at(row, second).way_m / static_cast<double>(run.rows);
    const double until_s = run.at(0, second).until_s;
    const double logged_m = model::row_motion_at(travel, 0.0, until_s).x_ground_m;
    if (std::fabs(way_m - logged_m) > kSame_m)
      throw text::InputError(log + ": is not the log of this pass: at " + std::to_string(until_s) +
                             " s the pass has come " + std::to_string(way_m) +
                             " m, and the log's drive " + std::to_string(logged_m) + " m");
  }
}

}  // namespace

FieldPlace FieldPlace::laid(const KeptRun& run, const FieldLayout& layout) {
  if (layout.pass_length_m > 0.0) require_straight(run);
  FieldPlace place;
  const double between_m = run.rows > 1 ? std::fabs(run.at(1, 0).east_m - run.at(0, 0).east_m)
                           : std::isfinite(run.width_m) ? run.width_m
                                                        : 0.0;
  place.laid_ = std::make_shared<LaidField>(layout, between_m * static_cast<double>(run.rows));
  for (std::size_t row = 0; row < run.rows; ++row) {
    place.right_m_.push_back(run.at(row, 0).east_m);
    place.tracks_.push_back(applied_track(run, row, way_of(run, row)));
  }
  for (std::size_t second = 0; second <= run.seconds; ++second) {
    const PlanePoint one = place.tracks_.front().point(second).place;
    const PlanePoint other = place.tracks_.back().point(second).place;
    place.middle_.push_back(
        {0.5 * (one.east_m + other.east_m), 0.5 * (one.north_m + other.north_m)});
  }
  return place;
}

FieldPlace FieldPlace::logged(const KeptRun& run, const scenario::NmeaDrive& drive,
                              const std::string& log) {
  require_same_drive(run, drive, log);
  const DriveWay way = drive_way(drive, log, run.seconds, run.at(0, run.seconds - 1).until_s);
  FieldPlace place;
  place.plane_ = std::make_shared<LocalPlane>(way.plane);
  for (const DrivePlace& one : way.places) place.middle_.push_back(one.place);
  for (std::size_t row = 0; row < run.rows; ++row) {
    const double right_m = run.at(row, 0).east_m;
    const std::vector<double> way_m = way_of(run, row);
    std::vector<TrackPoint> points;
    for (std::size_t second = 0; second <= run.seconds; ++second) {
      const DrivePlace& one = way.places[second];
      points.push_back({{one.place.east_m + right_m * one.north_ratio,
                         one.place.north_m - right_m * one.east_ratio},
                        way_m[second]});
    }
    place.right_m_.push_back(right_m);
    place.tracks_.push_back(RowTrack(std::move(points)));
  }
  if (drive.fixes.front().day >= 0)
    place.clock_ = {drive.fixes.front().day, drive.fixes.front().time_of_day_s};
  return place;
}

GeoPoint FieldPlace::geo_of(const PlanePoint& place, double ahead_m) const {
  return laid_ != nullptr ? laid_->at(place, laid_->pass_of(ahead_m)) : plane_->geo_of(place);
}

GeoPoint FieldPlace::of_band(std::size_t row, double x_ground_m, std::size_t second) const {
  return geo_of(tracks_[row].at(x_ground_m, second), x_ground_m);
}

GeoPoint FieldPlace::from(std::size_t row, std::size_t second) const {
  const TrackPoint& point = tracks_[row].point(second);
  return geo_of(point.place, point.way_m);
}

GeoPoint FieldPlace::until(std::size_t row, std::size_t second) const {
  return geo_of(tracks_[row].point(second + 1).place, tracks_[row].point(second).way_m);
}

GeoPoint FieldPlace::of_machine(std::size_t second) const {
  return geo_of(middle_[second], middle_[second].north_m);
}

}  // namespace sim::map
