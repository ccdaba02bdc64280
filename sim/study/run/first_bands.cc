#include "sim/study/run/first_bands.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/scenario/rate_zones.h"
#include "sim/study/run/sections.h"

namespace sim::run {
namespace {

enum class Start : std::uint8_t { kLowering, kHold, kStop, kSwitchedOn, kNewRate };
constexpr std::array<const char*, 5> kWords = {"lowering", "hold", "a stop", "switching on",
                                               kAfterNewRate};

struct StartOfWork {
  double at_s = 0.0;
  Start kind = Start::kLowering;
};

/// The instants at which a signal that begins as `on` and changes at each of `times` comes on.
void add_toggles(bool on, const std::vector<double>& times_s, Start kind,
                 std::vector<StartOfWork>& starts) {
  for (const double at_s : times_s) {
    on = !on;
    if (on) starts.push_back({at_s, kind});
  }
}

std::vector<StartOfWork> starts_of(const scenario::Scenario& scenario, int row) {
  std::vector<StartOfWork> starts;
  const scenario::WorkSection& work = scenario.work;
  add_toggles(work.lowered, work.lift_times_s, Start::kLowering, starts);
  add_toggles(work.run, work.run_times_s, Start::kHold, starts);
  for (const scenario::RowsOff& off : work.row_off)
    if (std::find(off.rows.begin(), off.rows.end(), row) != off.rows.end())
      starts.push_back({off.until_s, Start::kSwitchedOn});
  for (const double border_s : scenario::rate_borders_s(scenario.rate))
    if (border_s > 0.0 && scenario::in_band_rate_m3pm2(scenario.rate, border_s) > 0.0)
      starts.push_back({border_s, Start::kNewRate});
  const auto& knots = scenario.travel.profile;
  for (std::size_t k = 0; k + 1 < knots.size(); ++k)
    if (knots[k].speed_mps == 0.0 && knots[k + 1].speed_mps > 0.0)
      starts.push_back({knots[k].time_s, Start::kStop});
  std::stable_sort(starts.begin(), starts.end(),
                   [](const StartOfWork& a, const StartOfWork& b) { return a.at_s < b.at_s; });
  return starts;
}

struct Sums {
  FirstBands found;
  double error_sum_m = 0.0, dose_sum_m3 = 0.0, share_sum = 0.0;  // tidy: 1
};

void take_seed(const measure::RowRecord& row, const measure::SeedRecord& seed,
               const measure::PlacementRules& rules, Sums& sums) {
  if (seed.sensed && seed.status == measure::SeedStatus::kNoBand) ++sums.found.without_band;
  if (!measure::has_own_band(seed)) return;
  const measure::BandRecord& band = measure::band_of(row, seed);
  const double dose_m3 = band.dose_m3;
  const double asked_m3 = measure::commanded_dose_m3(band, rules);
  const double share_ratio = asked_m3 > 0.0 ? dose_m3 / asked_m3 : 1.0;
  FirstBands& found = sums.found;
  const bool first = found.bands++ == 0;
  sums.error_sum_m += seed.placement_error_m;
  sums.dose_sum_m3 += dose_m3;
  const double distance_m = std::abs(seed.placement_error_m);
  found.error_max_m = first ? distance_m : std::max(found.error_max_m, distance_m);
  found.dose_least_m3 = first ? dose_m3 : std::min(found.dose_least_m3, dose_m3);
  sums.share_sum += share_ratio;
  found.share_least_ratio = first ? share_ratio : std::min(found.share_least_ratio, share_ratio);
  found.share_most_ratio = first ? share_ratio : std::max(found.share_most_ratio, share_ratio);
}

void take_row(const measure::RowRecord& row, const std::vector<StartOfWork>& starts,
              const measure::PlacementRules& rules, std::array<Sums, kWords.size()>& sums) {
  for (std::size_t k = 0; k < starts.size(); ++k) {
    const double until_s = k + 1 < starts.size() ? starts[k + 1].at_s : 1e300;
    int taken = 0;
    for (const measure::SeedRecord& seed : row.seeds) {
      if (!seed.sensed || !(seed.edge_s >= starts[k].at_s) || seed.edge_s >= until_s) continue;
      take_seed(row, seed, rules, sums[static_cast<std::size_t>(starts[k].kind)]);
      if (++taken == kFirstBands) break;
    }
  }
}

}  // namespace

std::vector<FirstBands> first_bands_of(const RunResult& result) {
  std::array<Sums, kWords.size()> sums;
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  const measure::PlacementRules rules = measure::placement_rules_of(result.scenario);
  for (std::size_t row = 0; row < rows.size(); ++row)
    take_row(rows[row], starts_of(result.scenario, static_cast<int>(row)), rules, sums);
  std::vector<FirstBands> all;
  for (std::size_t kind = 0; kind < sums.size(); ++kind) {
    FirstBands& found = sums[kind].found;
    if (found.bands + found.without_band == 0) continue;
    found.after = kWords[kind];
    if (found.bands > 0) {
      found.error_mean_m = sums[kind].error_sum_m / found.bands;
      found.dose_mean_m3 = sums[kind].dose_sum_m3 / found.bands;
      found.share_mean_ratio = sums[kind].share_sum / found.bands;
    }
    all.push_back(found);
  }
  return all;
}

std::string first_bands_section(const RunResult& result, output::Units units) {
  const std::vector<FirstBands> all = first_bands_of(result);
  if (all.empty()) return "";
  output::Table table{
      .caption =
          "The first 10 sensed seeds of each row after each start of work and each new rate; "
          "doses as shares of the commanded one.",
      .head = {"After", "Bands", "Seeds without band", "Error, mean", "Error, largest",
               "Dose, mean", "Dose, least", "Dose, most"},
      .lines = {}};
  const auto share = [&](double share_ratio) {
    return output::shown(share_ratio, output::Measure::kShare, units);
  };
  for (const FirstBands& one : all)
    table.lines.push_back({one.after, std::to_string(one.bands), std::to_string(one.without_band),
                           output::shown(one.error_mean_m, output::Measure::kPlace, units),
                           output::shown(one.error_max_m, output::Measure::kPlace, units),
                           share(one.share_mean_ratio), share(one.share_least_ratio),
                           share(one.share_most_ratio)});
  return output::section_html("First bands", output::table_html(table));
}

}  // namespace sim::run
