#include "sim/study/run/applied.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/machine/travel.h"
#include "model/reproducible_math.h"
#include "sim/bench/travel_of.h"
#include "sim/output/number_text.h"
#include "sim/scenario/rate_zones.h"

namespace sim::run {
namespace {

struct Place {
  double east_m = 0.0, north_m = 0.0, heading_rad = 0.0;
};

/// Where the machine's middle is at each whole second, by midpoints of a hundredth of a second: in
/// a curve of 10 m at 5 m/s a chord of 50 mm is shorter than its arc by 0.05 um.
std::vector<Place> places_of(const model::Travel& travel, std::size_t seconds) {
  constexpr int kParts = 100;
  std::vector<Place> places;
  Place now;
  for (std::size_t second = 0; second <= seconds; ++second) {
    const auto start_s = static_cast<double>(second);
    now.heading_rad = model::turned_rad(travel, start_s);
    places.push_back(now);
    for (int part = 0; part < kParts; ++part) {
      const double middle_s = start_s + (part + 0.5) / kParts;
      const double way_m = model::motion_at(travel, middle_s).speed_mps / kParts;
      const double heading_rad = model::turned_rad(travel, middle_s);
      now.east_m += way_m * model::sin_of(heading_rad);
      now.north_m += way_m * model::cos_of(heading_rad);
    }
  }
  return places;
}

std::size_t second_of(double at_s, std::size_t seconds) {
  return std::min(seconds - 1, static_cast<std::size_t>(std::max(0.0, at_s)));
}

void count_row(const measure::RowRecord& row, std::vector<AppliedSecond>& by_second) {
  const std::size_t seconds = by_second.size();
  for (const measure::SeedRecord& seed : row.seeds) {
    if (!std::isfinite(seed.edge_s)) continue;
    AppliedSecond& at = by_second[second_of(seed.edge_s, seconds)];
    ++at.seeds;
    if (seed.sensed && seed.status == measure::SeedStatus::kNoBand) ++at.missed;
  }
  for (const measure::BandRecord& band : row.bands) {
    AppliedSecond& at = by_second[second_of(band.open_s, seconds)];
    ++at.bands;
    at.volume_m3 += band.dose_m3;
  }
  for (const measure::EventMark& event : row.events)
    if (event.code != SILLION_EVENT_TABLE_SIMULATED)
      ++by_second[second_of(event.at_s, seconds)].events;
}

}  // namespace

std::vector<AppliedSecond> applied_of(const RunResult& result) {
  const scenario::Scenario& scenario = result.scenario;
  const model::Travel travel = bench::travel_of(scenario);
  const double end_s = result.record.simulated_s;
  const auto seconds = static_cast<std::size_t>(std::max(1.0, std::ceil(end_s)));
  const std::vector<Place> places = places_of(travel, seconds);
  const double spacing_m = scenario.seeding.meter.spacing_m;
  const double share_ratio =
      scenario.rate.continuous ? 1.0 : std::min(1.0, scenario.rate.band_length_m / spacing_m);
  std::vector<AppliedSecond> all;
  for (std::size_t index = 0; index < result.record.rows.size(); ++index) {
    const int row = static_cast<int>(index);
    const double y_m = (row - 0.5 * (scenario.row.count - 1)) * scenario.row.width_m;
    std::vector<AppliedSecond> by_second(seconds);
    count_row(result.record.rows[index], by_second);
    for (std::size_t second = 0; second < seconds; ++second) {
      AppliedSecond& one = by_second[second];
      const Place& place = places[second];
      one.row = row;
      one.from_s = static_cast<double>(second);
      one.until_s = std::min(end_s, one.from_s + 1.0);
      one.east_m = place.east_m + y_m * model::cos_of(place.heading_rad);
      one.north_m = place.north_m - y_m * model::sin_of(place.heading_rad);
      one.way_m = model::row_motion_at(travel, y_m, one.until_s).x_ground_m -
                  model::row_motion_at(travel, y_m, one.from_s).x_ground_m;
      one.in_band_set_m3pm2 =
          scenario::mean_in_band_rate_m3pm2(scenario.rate, one.from_s, one.until_s);
      one.field_set_m3pm2 = one.in_band_set_m3pm2 * share_ratio;
      if (one.bands > 0 && !scenario.rate.continuous)
        one.in_band_m3pm2 =
            one.volume_m3 / (one.bands * scenario.rate.band_length_m * scenario.row.width_m);
      if (one.way_m > 0.0) one.field_m3pm2 = one.volume_m3 / (one.way_m * scenario.row.width_m);
    }
    all.insert(all.end(), by_second.begin(), by_second.end());
  }
  return all;
}

std::string applied_csv(const RunResult& result) {
  const auto real = [](double value_si) {  // tidy: unit is that of the column
    return std::isfinite(value_si) ? output::number_text(value_si) : std::string();
  };
  std::string text =
      "row,from_s,until_s,east_m,north_m,way_m,in_band_set_m3pm2,in_band_m3pm2,field_set_m3pm2,"
      "field_m3pm2,volume_m3,seeds,missed,bands,events\n";
  for (const AppliedSecond& one : applied_of(result))
    text += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}\n", one.row, real(one.from_s),
                        real(one.until_s), real(one.east_m), real(one.north_m), real(one.way_m),
                        real(one.in_band_set_m3pm2), real(one.in_band_m3pm2),
                        real(one.field_set_m3pm2), real(one.field_m3pm2), real(one.volume_m3),
                        one.seeds, one.missed, one.bands, one.events);
  return text;
}

}  // namespace sim::run
