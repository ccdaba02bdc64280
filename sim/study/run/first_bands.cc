#include "sim/study/run/first_bands.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/sections.h"

namespace sim::run {
namespace {

enum class Start : std::uint8_t { kLowering, kHold, kStop, kSwitchedOn };
constexpr std::array<const char*, 4> kWords = {"lowering", "hold", "a stop", "switching on"};

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
  double error_sum_m = 0.0, dose_sum_m3 = 0.0;
};

void take_seed(const measure::RowRecord& row, const measure::SeedRecord& seed, Sums& sums) {
  if (seed.sensed && seed.status == measure::SeedStatus::kNoBand) ++sums.found.without_band;
  if (!measure::has_own_band(seed)) return;
  const double dose_m3 = measure::band_of(row, seed).dose_m3;
  FirstBands& found = sums.found;
  const bool first = found.bands++ == 0;
  sums.error_sum_m += seed.placement_error_m;
  sums.dose_sum_m3 += dose_m3;
  const double distance_m = std::abs(seed.placement_error_m);
  found.error_max_m = first ? distance_m : std::max(found.error_max_m, distance_m);
  found.dose_least_m3 = first ? dose_m3 : std::min(found.dose_least_m3, dose_m3);
}

void take_row(const measure::RowRecord& row, const std::vector<StartOfWork>& starts,
              std::array<Sums, kWords.size()>& sums) {
  for (std::size_t k = 0; k < starts.size(); ++k) {
    const double until_s = k + 1 < starts.size() ? starts[k + 1].at_s : 1e300;
    int taken = 0;
    for (const measure::SeedRecord& seed : row.seeds) {
      if (!seed.sensed || !(seed.edge_s >= starts[k].at_s) || seed.edge_s >= until_s) continue;
      take_seed(row, seed, sums[static_cast<std::size_t>(starts[k].kind)]);
      if (++taken == kFirstBands) break;
    }
  }
}

}  // namespace

std::vector<FirstBands> first_bands_of(const RunResult& result) {
  std::array<Sums, kWords.size()> sums;
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  for (std::size_t row = 0; row < rows.size(); ++row)
    take_row(rows[row], starts_of(result.scenario, static_cast<int>(row)), sums);
  std::vector<FirstBands> all;
  for (std::size_t kind = 0; kind < sums.size(); ++kind) {
    FirstBands& found = sums[kind].found;
    if (found.bands + found.without_band == 0) continue;
    found.after = kWords[kind];
    if (found.bands > 0) {
      found.error_mean_m = sums[kind].error_sum_m / found.bands;
      found.dose_mean_m3 = sums[kind].dose_sum_m3 / found.bands;
    }
    all.push_back(found);
  }
  return all;
}

std::string first_bands_section(const RunResult& result, output::Units units) {
  const std::vector<FirstBands> all = first_bands_of(result);
  if (all.empty()) return "";
  const scenario::Scenario& scenario = result.scenario;
  const double commanded_m3 =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.rate.band_length_m;
  output::Table table{
      .caption =
          "The first 10 sensed seeds of each row after each start of work; doses as shares "
          "of the commanded one.",
      .head = {"After", "Bands", "Seeds without band", "Error, mean", "Error, largest",
               "Dose, mean", "Dose, least"},
      .lines = {}};
  const auto share = [&](double dose_m3) {
    return output::shown(dose_m3 / commanded_m3, output::Measure::kShare, units);
  };
  for (const FirstBands& one : all)
    table.lines.push_back({one.after, std::to_string(one.bands), std::to_string(one.without_band),
                           output::shown(one.error_mean_m, output::Measure::kPlace, units),
                           output::shown(one.error_max_m, output::Measure::kPlace, units),
                           share(one.dose_mean_m3), share(one.dose_least_m3)});
  return output::section_html("First bands", output::table_html(table));
}

}  // namespace sim::run
