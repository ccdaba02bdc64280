#include "sim/measure/summary_parts.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "shared/check.h"
#include "sim/measure/break_even.h"
#include "sim/measure/judge.h"
#include "sim/scenario/temporal_rule.h"
#include "sim/statistics/lower_bound.h"

namespace sim::measure {
namespace {

constexpr Goal kGoal;

double length_m(const BandRecord& band) { return band.end_x_ground_m - band.start_x_ground_m; }

void add(const SeedCounts& more, SeedCounts& sum) {
  sum.placed += more.placed;
  sum.sensed += more.sensed;
  sum.banded += more.banded;
  sum.merged += more.merged;
  sum.shared += more.shared;
  sum.edge_missed += more.edge_missed;
  sum.no_band += more.no_band;
  sum.weak += more.weak;
}

/// Spacings whose first seed lies from `from_x_m` up to but without `to_x_m`.
void take_spacings(const RowRecord& row, double from_x_m, double to_x_m, double theoretical_m,
                   SpacingSums& sums) {
  std::vector<double> places_m;
  for (const SeedRecord& seed : row.seeds) places_m.push_back(seed.rest_x_ground_m);
  std::sort(places_m.begin(), places_m.end());
  for (std::size_t k = 1; k < places_m.size(); ++k)
    if (places_m[k - 1] >= from_x_m && places_m[k - 1] < to_x_m)
      sums.take(places_m[k] - places_m[k - 1], theoretical_m);
}

}  // namespace

void SummaryInParts::Sums::take(const Sums& other) {
  add(other.seeds, seeds);
  stray_bands += other.stray_bands;
  for (std::size_t k = 0; k < 3; ++k) {
    good[k] += other.good[k];
    good_sensed[k] += other.good_sensed[k];
  }
  error.take(other.error);
  length.take(other.length);
  on_target.take(other.on_target);
  break_even.take(other.break_even);
  dose.take(other.dose);
  secondary.take(other.secondary);
  own_sensed += other.own_sensed;
  dose_good += other.dose_good;
  length_good += other.length_good;
  spacings.take(other.spacings);
}

SummaryInParts::SummaryInParts(const scenario::Scenario& scenario, std::size_t rows)
    : scenario_(scenario),
      rules_(placement_rules_of(scenario)),
      tolerances_m_{0.010, 0.025, 0.5 * rules_.band_length_m},
      rows_(rows) {
  for (const scenario::Requirement& one : scenario.requirements) {
    EXPECTS(one.rule.form == scenario::TemporalForm::kNone);
    witnesses_.emplace_back(one.metric, rules_);
  }
}

void SummaryInParts::take_own_band(const RowRecord& row, const SeedRecord& seed, Sums& sums) const {
  const BandRecord& band = band_of(row, seed);
  sums.error.take(seed.placement_error_m);
  sums.length.take(length_m(band));
  sums.dose.take(band.dose_m3);
  if (std::isfinite(seed.on_target_ratio)) sums.on_target.take(seed.on_target_ratio);
  if (!seed.sensed) return;
  ++sums.own_sensed;
  sums.break_even.take(seed.placement_error_m);
  const double asked_m3 = commanded_dose_m3(band, rules_);
  if (std::fabs(band.dose_m3 - asked_m3) <= kDoseMiss_ratio * asked_m3) ++sums.dose_good;
  if (std::fabs(length_m(band) - rules_.band_length_m) <= kLengthMiss_m) ++sums.length_good;
}

void SummaryInParts::take_seed(const RowRecord& row, std::size_t index, Sums& sums) const {
  const SeedRecord& seed = row.seeds[index];
  count_seed(seed, sums.seeds);
  for (std::size_t k = 0; k < 3; ++k)
    if (within_tolerance(row, static_cast<int>(index), tolerances_m_[k], rules_)) {
      ++sums.good[k];
      if (seed.sensed) ++sums.good_sensed[k];
    }
  if (has_own_band(seed)) {
    take_own_band(row, seed, sums);
  } else if (seed.sensed &&
             within_tolerance(row, static_cast<int>(index), kGoal.tolerance_m, rules_)) {
    const EndMisses misses = stretch_end_misses(row, band_of(row, seed), rules_.band_length_m);
    sums.break_even.take(std::max(std::fabs(misses.start_m), std::fabs(misses.end_m)));
  }
}

void SummaryInParts::take(const RowRecord& row, const StretchOfRow& stretch) {
  Sums& sums = rows_[static_cast<std::size_t>(stretch.row)];
  for (std::size_t seed = stretch.first_seed; seed < stretch.last_seed; ++seed)
    take_seed(row, seed, sums);
  for (std::size_t k = stretch.first_band; k < stretch.last_band; ++k) {
    const BandRecord& band = row.bands[k];
    if (band.stray)
      ++sums.stray_bands;
    else
      sums.secondary.take(band.secondary_ratio);
  }
  take_spacings(row, stretch.from_x_m, stretch.to_x_m, rules_.theoretical_spacing_m, sums.spacings);
  sums.lags.take(row, stretch.from_x_m, stretch.to_x_m);
  for (WitnessSearch& search : witnesses_) {
    search.take_seeds(stretch.row, row, stretch.first_seed, stretch.last_seed);
    search.take_bands(stretch.row, row, stretch.first_band, stretch.last_band);
  }
}

Figures SummaryInParts::figures_of(const Sums& sums, std::span<const RowRecord> rows) const {
  Figures figures;
  figures.seeds = sums.seeds;
  figures.stray_bands = sums.stray_bands;
  for (std::size_t k = 0; k < 3; ++k) {
    const long long good[] = {sums.good_sensed[k]}, sensed[] = {sums.seeds.sensed};
    figures.within[k] = {.tolerance_m = tolerances_m_[k],
                         .placed_ratio = share_of(sums.good[k], sums.seeds.placed),
                         .sensed_ratio = share_of(sums.good_sensed[k], sums.seeds.sensed),
                         .lower95_ratio = statistics::lower95_ratio(good, sensed)};
  }
  figures.placement_error = sums.error.spread();
  figures.band_length = sums.length.spread();
  figures.own_bands_sensed = sums.own_sensed;
  figures.dose_within_10_percent_sensed_ratio = share_of(sums.dose_good, sums.own_sensed);
  figures.length_within_10mm_sensed_ratio = share_of(sums.length_good, sums.own_sensed);
  figures.dose_mean_m3 = sums.dose.mean();
  figures.dose_sd_m3 = sums.dose.sd();
  figures.on_target_mean_ratio = sums.on_target.moments().mean();
  figures.on_target_p05_ratio = sums.on_target.quantile(0.05);
  figures.secondary_mean_ratio = sums.secondary.mean();
  figures.in_band_rate_m3pm2 =
      figures.dose_mean_m3 / (scenario_.row.width_m * rules_.band_length_m);
  figures.lag_seeds = winning_lag_seeds(sums.lags);
  add_volumes(rows, scenario_, figures);
  return figures;
}

// Rows are the clusters of the bound.
void SummaryInParts::add_bounds(Figures& all) const {
  for (std::size_t k = 0; k < 3; ++k) {
    std::vector<long long> good, sensed;
    for (const Sums& row : rows_) {
      good.push_back(row.good_sensed[k]);
      sensed.push_back(row.seeds.sensed);
    }
    all.within[k].lower95_ratio = statistics::lower95_ratio(good, sensed);
  }
}

Summary SummaryInParts::finish(std::span<const RowRecord> rows, double simulated_s) const {
  EXPECTS(rows.size() == rows_.size());
  Summary summary;
  summary.simulated_s = simulated_s;
  Sums all;
  for (std::size_t row = 0; row < rows_.size(); ++row) {
    summary.rows.push_back(figures_of(rows_[row], rows.subspan(row, 1)));
    all.take(rows_[row]);
  }
  summary.all = figures_of(all, rows);
  add_bounds(summary.all);
  summary.all.lag_seeds = 0;
  for (const Figures& row : summary.rows)
    if (std::abs(row.lag_seeds) > std::abs(summary.all.lag_seeds))
      summary.all.lag_seeds = row.lag_seeds;
  summary.spacing = spacing_quality(all.spacings, rules_.theoretical_spacing_m);
  summary.jet = jet_figures(rows, scenario_);
  std::vector<double> errors_m;
  std::vector<long long> counts;
  for (const statistics::CountedSpread::Cell& cell : all.break_even.cells()) {
    errors_m.push_back(cell.middle);
    counts.push_back(cell.count);
  }
  summary.break_even_scatter_m = break_even_scatter_m(errors_m, counts, all.seeds.sensed, kGoal);
  for (std::size_t k = 0; k < witnesses_.size(); ++k)
    summary.requirements.push_back(
        judged_metric(scenario_.requirements[k], summary, witnesses_[k].worst()));
  summary.verdict = verdict_of(summary);
  return summary;
}

long long SummaryInParts::seeds() const {
  long long seeds = 0;
  for (const Sums& row : rows_) seeds += row.seeds.placed;
  return seeds;
}

}  // namespace sim::measure
