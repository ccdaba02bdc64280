#include "sim/study/run/applied.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "model/reproducible_math.h"
#include "sim/bench/travel_of.h"
#include "sim/output/number_text.h"
#include "sim/scenario/rate_zones.h"

namespace sim::run {

AppliedRow::AppliedRow(const scenario::Scenario& scenario, int row)
    : scenario_(scenario),
      travel_(bench::travel_of(scenario)),
      row_(row),
      y_m_((row - 0.5 * (scenario.row.count - 1)) * scenario.row.width_m) {}

AppliedSecond& AppliedRow::at(double at_s) {
  return open_[std::max(next_, static_cast<std::size_t>(std::max(0.0, at_s)))];
}

void AppliedRow::take(const measure::SeedRecord& seed) {
  if (!std::isfinite(seed.edge_s)) return;
  AppliedSecond& one = at(seed.edge_s);
  ++one.seeds;
  if (seed.sensed && seed.status == measure::SeedStatus::kNoBand) ++one.missed;
}

void AppliedRow::take(const measure::BandRecord& band) {
  AppliedSecond& one = at(band.open_s);
  ++one.bands;
  one.volume_m3 += band.dose_m3;
}

void AppliedRow::take(const measure::EventMark& event) {
  if (event.code != SILLION_EVENT_TABLE_SIMULATED) ++at(event.at_s).events;
}

/// By midpoints of a hundredth of a second: in a curve of 10 m at 5 m/s a chord of 50 mm is shorter
/// than its arc by 0.05 um.
void AppliedRow::walk_a_second() {
  constexpr int kParts = 100;
  const auto start_s = static_cast<double>(next_);
  for (int part = 0; part < kParts; ++part) {
    const double middle_s = start_s + (part + 0.5) / kParts;
    const double way_m = model::motion_at(travel_, middle_s).speed_mps / kParts;
    const double heading_rad = model::turned_rad(travel_, middle_s);
    place_.east_m += way_m * model::sin_of(heading_rad);
    place_.north_m += way_m * model::cos_of(heading_rad);
  }
  ++next_;
}

void AppliedRow::finish(AppliedSecond& one, std::size_t second, double end_s) const {
  const double heading_rad = model::turned_rad(travel_, static_cast<double>(second));
  const double spacing_m = scenario_.seeding.meter.spacing_m;
  const double share_ratio =
      scenario_.rate.continuous ? 1.0 : std::min(1.0, scenario_.rate.band_length_m / spacing_m);
  one.row = row_;
  one.from_s = static_cast<double>(second);
  one.until_s = std::min(end_s, one.from_s + 1.0);
  one.east_m = place_.east_m + y_m_ * model::cos_of(heading_rad);
  one.north_m = place_.north_m - y_m_ * model::sin_of(heading_rad);
  one.way_m = model::row_motion_at(travel_, y_m_, one.until_s).x_ground_m -
              model::row_motion_at(travel_, y_m_, one.from_s).x_ground_m;
  one.in_band_set_m3pm2 =
      scenario::mean_in_band_rate_m3pm2(scenario_.rate, one.from_s, one.until_s);
  one.field_set_m3pm2 = one.in_band_set_m3pm2 * share_ratio;
  if (one.bands > 0 && !scenario_.rate.continuous)
    one.in_band_m3pm2 =
        one.volume_m3 / (one.bands * scenario_.rate.band_length_m * scenario_.row.width_m);
  if (one.way_m > 0.0) one.field_m3pm2 = one.volume_m3 / (one.way_m * scenario_.row.width_m);
}

std::vector<AppliedSecond> AppliedRow::before(std::size_t second, double end_s) {
  std::vector<AppliedSecond> done;
  while (next_ < second) {
    const auto found = open_.find(next_);
    AppliedSecond one = found == open_.end() ? AppliedSecond{} : found->second;
    if (found != open_.end()) open_.erase(found);
    finish(one, next_, end_s);
    done.push_back(one);
    walk_a_second();
  }
  return done;
}

std::vector<AppliedSecond> AppliedRow::rest(double end_s) {
  const auto seconds = static_cast<std::size_t>(std::max(1.0, std::ceil(end_s)));
  AppliedSecond late;
  while (!open_.empty() && open_.rbegin()->first >= seconds) {
    const AppliedSecond& one = open_.rbegin()->second;
    late.seeds += one.seeds;
    late.missed += one.missed;
    late.bands += one.bands;
    late.events += one.events;
    late.volume_m3 += one.volume_m3;
    open_.erase(std::prev(open_.end()));
  }
  if (late.seeds + late.bands + late.events > 0) {
    AppliedSecond& last = open_[seconds - 1];
    last.seeds += late.seeds;
    last.missed += late.missed;
    last.bands += late.bands;
    last.events += late.events;
    last.volume_m3 += late.volume_m3;
  }
  return before(seconds, end_s);
}

std::vector<AppliedSecond> applied_of(const RunResult& result) {
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  std::vector<AppliedSecond> all;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    AppliedRow applied(result.scenario, static_cast<int>(row));
    for (const measure::SeedRecord& seed : rows[row].seeds) applied.take(seed);
    for (const measure::BandRecord& band : rows[row].bands) applied.take(band);
    for (const measure::EventMark& event : rows[row].events) applied.take(event);
    // The record counts row-seconds.
    const std::vector<AppliedSecond> seconds =
        applied.rest(result.record.simulated_s / static_cast<double>(rows.size()));
    all.insert(all.end(), seconds.begin(), seconds.end());
  }
  return all;
}

std::string applied_header() {
  return "row,from_s,until_s,east_m,north_m,way_m,in_band_set_m3pm2,in_band_m3pm2,field_set_m3pm2,"
         "field_m3pm2,volume_m3,seeds,missed,bands,events\n";
}

std::string applied_line(const AppliedSecond& one) {
  const auto real = [](double value_si) {  // tidy: unit is that of the column
    return std::isfinite(value_si) ? output::number_text(value_si) : std::string();
  };
  return fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}\n", one.row, real(one.from_s),
                     real(one.until_s), real(one.east_m), real(one.north_m), real(one.way_m),
                     real(one.in_band_set_m3pm2), real(one.in_band_m3pm2),
                     real(one.field_set_m3pm2), real(one.field_m3pm2), real(one.volume_m3),
                     one.seeds, one.missed, one.bands, one.events);
}

std::string applied_csv(const RunResult& result) {
  std::string text = applied_header();
  for (const AppliedSecond& one : applied_of(result)) text += applied_line(one);
  return text;
}

}  // namespace sim::run
