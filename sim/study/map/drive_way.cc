#include "sim/study/map/drive_way.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/units.h"
#include "sim/text/input_error.h"
#include "sim/text/quantity.h"

namespace sim::map {
namespace {

constexpr double kDegree_rad = shared::kPi_ratio / 180.0;
constexpr double kCourseSpeed_mps = 0.5;  // as sim/scenario/nmea_log.h

struct PlacedFix {
  double time_s = 0.0;
  PlanePoint place;
  double course_deg = 0.0;
};

std::vector<PlacedFix> placed_fixes(const scenario::NmeaDrive& drive, const LocalPlane& plane,
                                    double first_course_deg) {
  std::vector<PlacedFix> placed;
  double course_deg = first_course_deg;
  for (std::size_t i = 0; i < drive.fixes.size(); ++i) {
    const scenario::NmeaFix& fix = drive.fixes[i];
    if (!std::isfinite(fix.lat_deg) || !std::isfinite(fix.lon_deg)) continue;
    if (std::isfinite(fix.course_deg) && drive.knots[i].speed_mps >= kCourseSpeed_mps)
      course_deg = fix.course_deg;
    placed.push_back({fix.time_s, plane.plane_of({fix.lat_deg, fix.lon_deg}), course_deg});
  }
  return placed;
}

DrivePlace place_at(const std::vector<PlacedFix>& fixes, double at_s) {
  const auto after = std::find_if(fixes.begin() + 1, fixes.end() - 1,
                                  [&](const PlacedFix& fix) { return fix.time_s >= at_s; });
  const PlacedFix& from = *(after - 1);
  const PlacedFix& until = *after;
  const double u_ratio = (at_s - from.time_s) / (until.time_s - from.time_s);
  const PlacedFix& course = u_ratio < 0.5 ? from : until;
  return {{from.place.east_m + u_ratio * (until.place.east_m - from.place.east_m),
           from.place.north_m + u_ratio * (until.place.north_m - from.place.north_m)},
          model::sin_of(course.course_deg * kDegree_rad),
          model::cos_of(course.course_deg * kDegree_rad)};
}

}  // namespace

DriveWay drive_way(const scenario::NmeaDrive& drive, const std::string& log, std::size_t seconds,
                   double end_s) {
  const auto has_place = [](const scenario::NmeaFix& fix) {
    return std::isfinite(fix.lat_deg) && std::isfinite(fix.lon_deg) &&
           std::fabs(fix.lat_deg) <= 89.0;
  };
  const auto first = std::find_if(drive.fixes.begin(), drive.fixes.end(), has_place);
  const auto course =
      std::find_if(drive.fixes.begin(), drive.fixes.end(),
                   [](const scenario::NmeaFix& fix) { return std::isfinite(fix.course_deg); });
  if (std::count_if(drive.fixes.begin(), drive.fixes.end(), has_place) < 2 ||
      course == drive.fixes.end())
    throw text::InputError(log +
                           ": holds fewer than two fixes with latitude and longitude, or no " +
                           "course: no map can be drawn by it");
  DriveWay way{LocalPlane({first->lat_deg, first->lon_deg}), {}};
  const std::vector<PlacedFix> fixes = placed_fixes(drive, way.plane, course->course_deg);
  if (end_s > fixes.back().time_s)
    throw text::InputError(log + ": its last fix is " + text::shortest_text(fixes.back().time_s) +
                           " s after the first, and the pass took " + text::shortest_text(end_s) +
                           " s: state a shorter `duration` for the pass");
  for (std::size_t second = 0; second <= seconds; ++second)
    way.places.push_back(place_at(fixes, std::min(end_s, static_cast<double>(second))));
  return way;
}

}  // namespace sim::map
