#include "sim/bench/seed_way.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/scenario/faults/catalog.h"

namespace sim {
namespace {

/// Row travel at which each seed passes the sensor: the meter's draws, or measured spacings played
/// in order.
std::vector<double> places_at_sensor_m(const Scenario& scenario, const model::Travel& travel,
                                       const RowFixed& row, const RandomStream& stream) {
  const double first_m = model::row_motion_at(travel, row.y_unit_m, kWarmUp_s).x_ground_m;
  const double end_m =
      scenario.duration_s > 0.0
          ? model::row_motion_at(travel, row.y_unit_m, scenario.duration_s).x_ground_m
          : HUGE_VAL;
  std::vector<double> places_m;
  if (!scenario.seeding.spacings_m.empty()) {
    const auto& spacings_m = scenario.seeding.spacings_m;
    const std::size_t most =
        scenario.duration_s > 0.0 ? SIZE_MAX : static_cast<std::size_t>(scenario.seeds);
    for (double x_m = first_m; places_m.size() < most && x_m <= end_m;) {
      places_m.push_back(x_m);
      x_m += spacings_m[(places_m.size() - 1) % spacings_m.size()];
    }
    return places_m;
  }
  const auto wanted = static_cast<std::size_t>(std::max(scenario.seeds, 0));
  for (std::uint64_t slot = 0; scenario.duration_s > 0.0 || places_m.size() < wanted; ++slot) {
    const model::SeedMeterDraws draws{
        .kind_uniform_ratio = stream.uniform_ratio(Purpose::kMeterKind, slot),
        .scatter_normal_ratio = stream.normal_ratio(Purpose::kMeterScatter, slot),
        .gap_uniform_ratio = stream.uniform_ratio(Purpose::kMeterGap, slot)};
    const auto metered =
        model::metered_slot(scenario.seeding.meter, static_cast<long long>(slot), draws);
    if (first_m + static_cast<double>(slot) * scenario.seeding.meter.spacing_m > end_m) break;
    for (int k = 0; k < metered.seeds; ++k) {
      if (places_m.size() == wanted && scenario.duration_s <= 0.0) break;
      places_m.push_back(first_m + metered.x_at_sensor_m[k]);
    }
  }
  std::sort(places_m.begin(), places_m.end());
  return places_m;
}

/// Speed of the row, at least a crawl: a belt that stands still would never deliver.
double crawl_or_faster_mps(const model::Travel& travel, double y_unit_m, double time_s) {
  return std::max(model::row_motion_at(travel, y_unit_m, time_s).speed_mps, 0.05);
}

/// What laying out needs to know of the row; each step below takes it.
struct Layout {
  const Scenario& scenario;
  const model::Travel& travel;
  const RowFixed& row;
  const RandomStream& stream;
  int row_index = 0;
};

// [1] the meter releases: each seed passes the sensor when the row has travelled to its place
std::vector<model::Passing> release(const Layout& at) {
  std::vector<model::Passing> passings;
  for (const double place_m : places_at_sensor_m(at.scenario, at.travel, at.row, at.stream)) {
    const double time_s = model::time_at_row_x_s(at.travel, at.row.y_unit_m, place_m);
    if (std::isnan(time_s)) break;  // the row never gets there
    const std::uint64_t seed = passings.size();
    passings.push_back(
        {.time_s = time_s,
         .missed_uniform_ratio = at.stream.uniform_ratio(Purpose::kSensorMissed, seed),
         .doubled_uniform_ratio = at.stream.uniform_ratio(Purpose::kSensorDoubled, seed),
         .jitter_normal_ratio = at.stream.normal_ratio(Purpose::kSensorJitter, seed)});
  }
  return passings;
}

// [2] the sensor sees them; a fault may bend or lose an edge. Returns by seed whether it is sensed.
std::vector<bool> see(const Layout& at, const std::vector<model::Passing>& passings, SeedWay& way) {
  model::SensorRecord sensed = model::sense(at.scenario.sensor.sensor, passings);
  for (const model::SensorPulse& pulse : sensed.pulses) {
    const auto seed = static_cast<std::uint64_t>(pulse.passing);
    const EdgeSeam bent = bend_edge(at.scenario, at.row_index, pulse.rising_s,
                                    at.stream.uniform_ratio(Purpose::kFaultEdge, seed));
    if (bent.lost) {
      if (!pulse.false_one) sensed.sensed[seed] = false;
      continue;
    }
    way.edges.push_back({.rising_s = bent.at_s,
                         .falling_s = pulse.falling_s + (bent.at_s - pulse.rising_s),
                         .seed = pulse.false_one ? -1 : pulse.passing});
  }
  std::stable_sort(way.edges.begin(), way.edges.end(),
                   [](const EdgePair& a, const EdgePair& b) { return a.rising_s < b.rising_s; });
  return std::move(sensed.sensed);
}

// [3] delivery carries a seed to its place of rest, which is where the row is then, plus bounce
void carry(const Layout& at, std::size_t seed, double edge_s, bool sensed, SeedWay& way) {
  // A geared belt follows the ground while the machine speeds up: its mean speed is the one at half
  // the way.
  const model::DeliveryParams& delivery = at.scenario.delivery;
  const double edge_speed_mps = crawl_or_faster_mps(at.travel, at.row.y_unit_m, edge_s);
  const double half_way_s = 0.5 * model::nominal_delivery_time_s(delivery, edge_speed_mps);
  const double speed_mps = crawl_or_faster_mps(at.travel, at.row.y_unit_m, edge_s + half_way_s);
  const auto delivered =
      model::deliver(delivery, speed_mps, at.row.sensor_shift_m,
                     {.time_normal_ratio = at.stream.normal_ratio(Purpose::kDeliveryTime, seed),
                      .rest_normal_ratio = at.stream.normal_ratio(Purpose::kRestPlace, seed)});
  const double rest_s = edge_s + delivered.time_s;
  SeedRecord record;
  record.edge_s = edge_s;
  record.rest_x_ground_m = model::row_motion_at(at.travel, at.row.y_unit_m, rest_s).x_ground_m +
                           at.scenario.drop_x_unit_m + delivered.bounce_m;
  record.sensed = sensed;
  way.seeds.push_back(record);
  way.delivery_s.push_back(delivered.time_s);
  way.rest_sorted_m.push_back(record.rest_x_ground_m);
  way.last_rest_s = std::max(way.last_rest_s, rest_s);
}

}  // namespace

SeedWay lay_out_seeds(const Scenario& scenario, const model::Travel& travel, const RowFixed& row,
                      const RandomStream& stream, int row_index) {
  const Layout at{scenario, travel, row, stream, row_index};
  SeedWay way;
  const std::vector<model::Passing> passings = release(at);
  const std::vector<bool> sensed = see(at, passings, way);
  for (std::size_t seed = 0; seed < passings.size(); ++seed)
    carry(at, seed, passings[seed].time_s, sensed[seed], way);
  std::sort(way.rest_sorted_m.begin(), way.rest_sorted_m.end());
  return way;
}

}  // namespace sim
