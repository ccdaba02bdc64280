#include "sim/bench/seed_way.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/scenario/faults/catalog.h"

namespace sim::bench {
namespace {

/// A seed's row travel when it passes the sensor, and which seed of the row it is: this number
/// indexes its draws.
struct Place {
  double at_m = 0.0;
  std::uint64_t number = 0;
};

/// First number of seeds that an ideal meter adds where the drawn one skipped; no row has as many.
constexpr std::uint64_t kFilledSkips = std::uint64_t{1} << 40;

struct Stretch {
  double first_m = 0.0;
  double end_m = HUGE_VAL;
};

/// Seeds at the measured spacings, in order; with even places as many seeds at their mean spacing.
std::vector<Place> measured_places(const scenario::Scenario& scenario, const Stretch& stretch) {
  const auto& spacings_m = scenario.seeding.spacings_m;
  const std::size_t most =
      scenario.duration_s > 0.0 ? SIZE_MAX : static_cast<std::size_t>(scenario.seeds);
  std::vector<Place> places;
  for (double x_m = stretch.first_m; places.size() < most && x_m <= stretch.end_m;) {
    places.push_back({x_m, places.size()});
    x_m += spacings_m[(places.size() - 1) % spacings_m.size()];
  }
  if (!scenario.ideal.even_places || places.size() < 2) return places;
  const double mean_m =
      (places.back().at_m - stretch.first_m) / static_cast<double>(places.size() - 1);
  for (std::size_t k = 0; k < places.size(); ++k)
    places[k].at_m = stretch.first_m + static_cast<double>(k) * mean_m;
  return places;
}

/// What the meter drew, and where the same seeds would pass without scatter.
struct Metered {
  double at_m = 0.0;
  double even_m = 0.0;
  bool second = false;  // of a double
};

struct MeteredRow {
  std::vector<Metered> seeds;  // in order of place
  std::vector<std::uint64_t> skipped;
};

MeteredRow meter_row(const scenario::Scenario& scenario, const Stretch& stretch,
                     const RandomStream& stream) {
  MeteredRow row;
  model::SeedMeterParams even = scenario.seeding.meter;
  even.scatter_ratio = 0.0;
  const auto wanted = static_cast<std::size_t>(std::max(scenario.seeds, 0));
  for (std::uint64_t slot = 0; scenario.duration_s > 0.0 || row.seeds.size() < wanted; ++slot) {
    const model::SeedMeterDraws draws{
        .kind_uniform_ratio = stream.uniform_ratio(Purpose::kMeterKind, slot),
        .scatter_normal_ratio = stream.normal_ratio(Purpose::kMeterScatter, slot),
        .gap_uniform_ratio = stream.uniform_ratio(Purpose::kMeterGap, slot)};
    const auto number = static_cast<long long>(slot);
    const auto metered = model::metered_slot(scenario.seeding.meter, number, draws);
    const auto in_step = model::metered_slot(even, number, draws);
    const double slot_m = static_cast<double>(slot) * scenario.seeding.meter.spacing_m;
    if (stretch.first_m + slot_m > stretch.end_m) break;
    if (metered.seeds == 0) row.skipped.push_back(slot);
    for (int k = 0; k < metered.seeds; ++k) {
      if (row.seeds.size() == wanted && scenario.duration_s <= 0.0) break;
      row.seeds.push_back({stretch.first_m + metered.x_at_sensor_m[k],
                           stretch.first_m + in_step.x_at_sensor_m[k], k > 0});
    }
  }
  std::sort(row.seeds.begin(), row.seeds.end(),
            [](const Metered& a, const Metered& b) { return a.at_m < b.at_m; });
  return row;
}

/// What the seed meter is driven by: the ground that its row covers forwards. It stands while the
/// row stands and does not turn back with it (a one-way clutch: common practice, no source), so
/// ground that is covered again gets seeds again.
class MeterDrive {
 public:
  MeterDrive(const model::Travel& travel, double y_unit_m) : travel_(travel), y_unit_m_(y_unit_m) {
    if (model::runs_forward(travel, y_unit_m)) return;
    travel_ = model::forward_part(travel, y_unit_m);
    y_unit_m_ = 0.0;
  }
  double turned_m(double time_s) const {
    return model::row_motion_at(travel_, y_unit_m_, time_s).x_ground_m;
  }
  /// Time at which it has turned that far; not-a-number if it never gets there.
  double time_s(double turned_m) const {
    return model::time_at_row_x_s(travel_, y_unit_m_, turned_m);
  }

 private:
  model::Travel travel_;
  double y_unit_m_;
};

/// Forward travel at which each seed passes the sensor: the meter's draws, or measured spacings.
std::vector<Place> places_at_sensor(const scenario::Scenario& scenario, const MeterDrive& drive,
                                    const RandomStream& stream) {
  Stretch stretch;
  stretch.first_m = drive.turned_m(kWarmUp_s);
  if (scenario.duration_s > 0.0) stretch.end_m = drive.turned_m(scenario.duration_s);
  if (!scenario.seeding.spacings_m.empty()) return measured_places(scenario, stretch);
  const scenario::IdealSwitches& ideal = scenario.ideal;
  const MeteredRow metered = meter_row(scenario, stretch, stream);
  std::vector<Place> places;
  for (std::size_t k = 0; k < metered.seeds.size(); ++k) {
    const Metered& seed = metered.seeds[k];
    if (ideal.single_seeds && seed.second) continue;
    places.push_back({ideal.even_places ? seed.even_m : seed.at_m, k});
  }
  if (ideal.single_seeds)
    for (const std::uint64_t slot : metered.skipped)
      places.push_back(
          {stretch.first_m + static_cast<double>(slot) * scenario.seeding.meter.spacing_m,
           kFilledSkips + slot});
  std::sort(places.begin(), places.end(),
            [](const Place& a, const Place& b) { return a.at_m < b.at_m; });
  return places;
}

constexpr double kCrawl_mps = 0.05;

/// Speed of the row, at least a crawl: a belt that stands still would never deliver.
double crawl_or_faster_mps(const model::Travel& travel, double y_unit_m, double time_s) {
  return std::max(model::row_motion_at(travel, y_unit_m, time_s).speed_mps, kCrawl_mps);
}

/// What laying out needs to know of the row; each step below takes it.
struct Layout {
  const scenario::Scenario& scenario;
  const model::Travel& travel;
  const RowFixed& row;
  const RandomStream& stream;
  int row_index = 0;
  MeterDrive drive{travel, row.y_unit_m};
};

// [1] the meter releases: each seed passes the sensor when the row has travelled to its place
struct Release {
  std::vector<model::Passing> passings;
  std::vector<std::uint64_t> numbers;  // of the seed behind each
};

Release release(const Layout& at) {
  Release released;
  for (const Place& place : places_at_sensor(at.scenario, at.drive, at.stream)) {
    const double time_s = at.drive.time_s(place.at_m);
    if (std::isnan(time_s)) break;  // the row never gets there
    released.numbers.push_back(place.number);
    released.passings.push_back(
        {.time_s = time_s,
         .missed_uniform_ratio = at.stream.uniform_ratio(Purpose::kSensorMissed, place.number),
         .doubled_uniform_ratio = at.stream.uniform_ratio(Purpose::kSensorDoubled, place.number),
         .jitter_normal_ratio = at.stream.normal_ratio(Purpose::kSensorJitter, place.number)});
  }
  return released;
}

/// Pulses of a burst, all at the instant of the true edge: more than any capture FIFO holds.
constexpr int kBurst = 20;

/// The pulse of a seed, with what faults put beside it.
void lay_edges(const scenario::EdgeSeam& bent, EdgePair pulse, std::vector<EdgePair>& edges) {
  const double again_s = pulse.rising_s + bent.doubled_after_s;
  EdgePair second{again_s, again_s + (pulse.falling_s - pulse.rising_s), -1};
  if (bent.doubled_after_s > 0.0 && again_s < pulse.falling_s) {
    // The beam is free for half of the time between both pulses, and the seed's end stays.
    second.falling_s = pulse.falling_s;
    pulse.falling_s = again_s - 0.5 * bent.doubled_after_s;
  }
  edges.push_back(pulse);
  if (bent.doubled_after_s > 0.0) edges.push_back(second);
  if (bent.burst) edges.insert(edges.end(), kBurst, EdgePair{pulse.rising_s, pulse.rising_s, -1});
}

// [2] the sensor sees them; a fault may bend or lose an edge. Returns by seed whether it is sensed.
std::vector<bool> see(const Layout& at, const Release& released, SeedWay& way) {
  model::SensorRecord sensed = model::sense(at.scenario.sensor.sensor, released.passings);
  for (const model::SensorPulse& pulse : sensed.pulses) {
    const auto seed = static_cast<std::size_t>(pulse.passing);
    const std::uint64_t number = released.numbers[seed];
    const scenario::EdgeSeam bent = scenario::bend_edge(
        at.scenario, at.row_index,
        {.at_s = pulse.rising_s,
         .uniform_ratio = at.stream.uniform_ratio(Purpose::kFaultEdge, number),
         .doubled_uniform_ratio = at.stream.uniform_ratio(Purpose::kEdgeDoubled, number),
         .burst_uniform_ratio = at.stream.uniform_ratio(Purpose::kEdgeBurst, number),
         .jitter_normal_ratio = at.stream.normal_ratio(Purpose::kEdgeJitter, number)});
    if (bent.lost) {
      if (!pulse.false_one) sensed.sensed[seed] = false;
      continue;
    }
    lay_edges(bent,
              {.rising_s = bent.at_s,
               .falling_s = pulse.falling_s + (bent.at_s - pulse.rising_s),
               .seed = pulse.false_one ? -1 : pulse.passing},
              way.edges);
  }
  std::stable_sort(way.edges.begin(), way.edges.end(),
                   [](const EdgePair& a, const EdgePair& b) { return a.rising_s < b.rising_s; });
  return std::move(sensed.sensed);
}

/// A geared belt stands with its row, and the seed on it waits: T_del lasts until the row has gone
/// the belt's path over its gear ratio. At a crawl and above the delivery's own law holds; a row
/// that never goes on releases the seed as at a crawl.
double on_a_standing_belt_s(const Layout& at, double edge_s, double delivery_s) {
  const model::DeliveryParams& delivery = at.scenario.delivery;
  if (delivery.kind != model::DeliveryKind::kConveyorGeared) return delivery_s;
  const auto crawls = [&](double time_s) {
    return model::row_motion_at(at.travel, at.row.y_unit_m, time_s).speed_mps < kCrawl_mps;
  };
  if (!crawls(edge_s) && !crawls(edge_s + 0.5 * delivery_s) && !crawls(edge_s + delivery_s))
    return delivery_s;
  const double way_m = (delivery.path_m + at.row.sensor_shift_m) / delivery.gear_ratio;
  const double released_s = at.drive.time_s(at.drive.turned_m(edge_s) + way_m);
  return std::isnan(released_s) ? delivery_s : released_s - edge_s;
}

// [3] delivery carries a seed to its place of rest, which is where the row is then, plus bounce
void carry(const Layout& at, std::uint64_t number, double edge_s, bool sensed, SeedWay& way) {
  // A geared belt follows the ground while the machine speeds up: its mean speed is the one at half
  // the way.
  const model::DeliveryParams& delivery = at.scenario.delivery;
  const double edge_speed_mps = crawl_or_faster_mps(at.travel, at.row.y_unit_m, edge_s);
  const double half_way_s = 0.5 * model::nominal_delivery_time_s(delivery, edge_speed_mps);
  const double speed_mps = crawl_or_faster_mps(at.travel, at.row.y_unit_m, edge_s + half_way_s);
  double rest_ratio = at.stream.normal_ratio(Purpose::kRestPlace, number);
  if (at.scenario.ideal.mean_bounce) rest_ratio = model::mean_bounce_draw_ratio(delivery);
  const auto delivered =
      model::deliver(delivery, speed_mps, at.row.sensor_shift_m,
                     {.time_normal_ratio = at.stream.normal_ratio(Purpose::kDeliveryTime, number),
                      .rest_normal_ratio = rest_ratio});
  const double rest_s = edge_s + on_a_standing_belt_s(at, edge_s, delivered.time_s);
  measure::SeedRecord record;
  record.edge_s = edge_s;
  record.rest_x_ground_m = model::row_motion_at(at.travel, at.row.y_unit_m, rest_s).x_ground_m +
                           at.scenario.drop_x_unit_m + delivered.bounce_m;
  record.sensed = sensed;
  record.number = number;
  way.seeds.push_back(record);
  way.delivery_s.push_back(rest_s - edge_s);
  way.rest_sorted_m.push_back(record.rest_x_ground_m);
  way.last_rest_s = std::max(way.last_rest_s, rest_s);
}

}  // namespace

SeedWay lay_out_seeds(const scenario::Scenario& scenario, const model::Travel& travel,
                      const RowFixed& row, const RandomStream& stream, int row_index) {
  const Layout at{scenario, travel, row, stream, row_index};
  SeedWay way;
  const Release released = release(at);
  const std::vector<bool> sensed = see(at, released, way);
  for (std::size_t seed = 0; seed < released.numbers.size(); ++seed)
    carry(at, released.numbers[seed], released.passings[seed].time_s, sensed[seed], way);
  std::sort(way.rest_sorted_m.begin(), way.rest_sorted_m.end());
  return way;
}

SeedWay lay_out_recorded(const scenario::Scenario& scenario, const model::Travel& travel,
                         const RowFixed& row, const RandomStream& stream, int row_index,
                         const std::vector<EdgePair>& edges) {
  SeedWay way;
  lay_out_more(scenario, travel, row, stream, row_index, edges, 0, way);
  return way;
}

void lay_out_more(const scenario::Scenario& scenario, const model::Travel& travel,
                  const RowFixed& row, const RandomStream& stream, int row_index,
                  const std::vector<EdgePair>& edges, std::uint64_t first, SeedWay& way) {
  const Layout at{scenario, travel, row, stream, row_index};
  way.edges.insert(way.edges.end(), edges.begin(), edges.end());
  for (std::size_t seed = 0; seed < edges.size(); ++seed)
    carry(at, first + seed, edges[seed].rising_s, true, way);
  std::sort(way.rest_sorted_m.begin(), way.rest_sorted_m.end());
}

void let_go_of_seeds(SeedWay& way, std::size_t count) {
  const auto gone = static_cast<std::ptrdiff_t>(count);
  way.seeds.erase(way.seeds.begin(), way.seeds.begin() + gone);
  way.delivery_s.erase(way.delivery_s.begin(), way.delivery_s.begin() + gone);
  way.edges.erase(way.edges.begin(), way.edges.begin() + gone);
  way.rest_sorted_m.clear();
  for (const measure::SeedRecord& seed : way.seeds)
    way.rest_sorted_m.push_back(seed.rest_x_ground_m);
  std::sort(way.rest_sorted_m.begin(), way.rest_sorted_m.end());
}

}  // namespace sim::bench
