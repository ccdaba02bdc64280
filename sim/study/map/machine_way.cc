#include "sim/study/map/machine_way.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "model/machine/travel.h"
#include "model/reproducible_math.h"
#include "sim/bench/travel_of.h"
#include "sim/study/map/drive_way.h"
#include "sim/text/input_error.h"

namespace sim::map {
namespace {

constexpr double kPiece_s = 0.1;
constexpr int kParts = 10;         // midpoints of a piece, as sim/study/run/applied.cc has them
constexpr double kMost_s = 86400;  // a machine that stands for good ends its way here

/// How far the machine has to go, from its first seed to past its last.
double way_needed_m(const scenario::Scenario& scenario) {
  const std::vector<double>& spacings_m = scenario.seeding.spacings_m;
  const double mean_m = spacings_m.empty()
                            ? scenario.seeding.meter.spacing_m
                            : std::accumulate(spacings_m.begin(), spacings_m.end(), 0.0) /
                                  static_cast<double>(spacings_m.size());
  return (scenario.seeds + 1) * mean_m;
}

double end_of(const scenario::Scenario& scenario, const model::Travel& travel) {
  if (scenario.duration_s > 0.0) return scenario.duration_s;
  const double there_s = model::time_at_row_x_s(travel, 0.0, way_needed_m(scenario));
  return (std::isfinite(there_s) ? std::min(there_s, kMost_s) : kMost_s) + 2.0;
}

}  // namespace

std::vector<WayPiece> laid_way(const scenario::Scenario& scenario, const FieldLayout& layout) {
  const model::Travel travel = bench::travel_of(scenario);
  const LaidField field(layout, scenario.row.width_m * scenario.row.count);
  const auto pieces = static_cast<std::size_t>(std::ceil(end_of(scenario, travel) / kPiece_s));
  std::vector<WayPiece> way;
  PlanePoint now;
  for (std::size_t k = 0; k < pieces; ++k) {
    const double from_s = static_cast<double>(k) * kPiece_s;
    const double until_s = static_cast<double>(k + 1) * kPiece_s;
    const PlanePoint before = now;
    for (int part = 0; part < kParts; ++part) {
      const double middle_s = from_s + (part + 0.5) * (kPiece_s / kParts);
      const double heading_rad = model::turned_rad(travel, middle_s);
      if (heading_rad != 0.0 && layout.pass_length_m > 0.0)
        throw text::InputError(
            "--pass-length: this pass is not straight, so it cannot be cut into passes");
      const double way_m = model::motion_at(travel, middle_s).speed_mps * (kPiece_s / kParts);
      now.east_m += way_m * model::sin_of(heading_rad);
      now.north_m += way_m * model::cos_of(heading_rad);
    }
    const long long pass = field.pass_of(before.north_m);
    way.push_back({from_s, until_s, field.at(before, pass), field.at(now, pass)});
  }
  return way;
}

std::vector<WayPiece> logged_way(const scenario::Scenario& scenario,
                                 const scenario::NmeaDrive& drive, const std::string& log) {
  const double end_s =
      std::min(end_of(scenario, bench::travel_of(scenario)), drive.knots.back().time_s);
  const auto seconds = static_cast<std::size_t>(std::ceil(end_s));
  const DriveWay driven = drive_way(drive, log, seconds, end_s);
  std::vector<WayPiece> way;
  for (std::size_t k = 0; k < seconds; ++k)
    way.push_back({static_cast<double>(k), std::min(end_s, static_cast<double>(k + 1)),
                   driven.plane.geo_of(driven.places[k].place),
                   driven.plane.geo_of(driven.places[k + 1].place)});
  return way;
}

}  // namespace sim::map
