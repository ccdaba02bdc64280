#include "sim/measure/summary.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "sim/measure/break_even.h"
#include "sim/measure/judge.h"
#include "sim/measure/witness.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/temporal_rule.h"
#include "sim/statistics/lower_bound.h"
#include "sim/statistics/spread.h"

namespace sim::measure {
namespace {

double length_m(const BandRecord& band) { return band.end_x_ground_m - band.start_x_ground_m; }

void count_seeds(const RowRecord& row, SeedCounts& counts) {
  for (const SeedRecord& seed : row.seeds) count_seed(seed, counts);
}

WithinTolerance within_of(std::span<const RowRecord> rows, double tolerance_m,
                          const PlacementRules& rules) {
  std::vector<long long> good_sensed, sensed;  // by row
  long long good = 0, placed = 0, all_good_sensed = 0, all_sensed = 0;
  for (const RowRecord& row : rows) {
    good_sensed.push_back(0);
    sensed.push_back(0);
    for (std::size_t i = 0; i < row.seeds.size(); ++i) {
      const bool hit = within_tolerance(row, static_cast<int>(i), tolerance_m, rules);
      ++placed;
      good += hit ? 1 : 0;
      if (!row.seeds[i].sensed) continue;
      ++sensed.back();
      good_sensed.back() += hit ? 1 : 0;
    }
    all_good_sensed += good_sensed.back();
    all_sensed += sensed.back();
  }
  WithinTolerance within;
  within.tolerance_m = tolerance_m;
  within.placed_ratio = share_of(good, placed);
  within.sensed_ratio = share_of(all_good_sensed, all_sensed);
  within.lower95_ratio = statistics::lower95_ratio(good_sensed, sensed);
  return within;
}

// What the bands that are a seed's own show, gathered over rows.
struct OwnBands {
  std::vector<double> error_m, length_m, dose_m3, on_target_ratio;
  long long sensed = 0, dose_good = 0, length_good = 0;
};

OwnBands own_bands_of(std::span<const RowRecord> rows, const PlacementRules& rules) {
  OwnBands own;
  for (const RowRecord& row : rows) {
    for (const SeedRecord& seed : row.seeds) {
      if (!has_own_band(seed)) continue;
      const BandRecord& band = band_of(row, seed);
      own.error_m.push_back(seed.placement_error_m);
      own.length_m.push_back(length_m(band));
      own.dose_m3.push_back(band.dose_m3);
      if (std::isfinite(seed.on_target_ratio)) own.on_target_ratio.push_back(seed.on_target_ratio);
      if (!seed.sensed) continue;
      ++own.sensed;
      const double asked_m3 = commanded_dose_m3(band, rules);
      if (std::fabs(band.dose_m3 - asked_m3) <= kDoseMiss_ratio * asked_m3) ++own.dose_good;
      if (std::fabs(length_m(band) - rules.band_length_m) <= kLengthMiss_m) ++own.length_good;
    }
  }
  return own;
}

double secondary_mean_ratio(std::span<const RowRecord> rows) {
  std::vector<double> secondary_ratio;
  for (const RowRecord& row : rows)
    for (const BandRecord& band : row.bands)
      if (!band.stray) secondary_ratio.push_back(band.secondary_ratio);
  return statistics::mean_of(secondary_ratio);
}

Figures figures_of(std::span<const RowRecord> rows, const scenario::Scenario& scenario,
                   const PlacementRules& rules) {
  Figures figures;
  for (const RowRecord& row : rows) {
    count_seeds(row, figures.seeds);
    for (const BandRecord& band : row.bands) figures.stray_bands += band.stray ? 1 : 0;
  }
  const double tolerances_m[3] = {0.010, 0.025, 0.5 * rules.band_length_m};
  for (std::size_t i = 0; i < 3; ++i) figures.within[i] = within_of(rows, tolerances_m[i], rules);

  OwnBands own = own_bands_of(rows, rules);
  figures.placement_error = statistics::spread_of(own.error_m);
  figures.band_length = statistics::spread_of(own.length_m);
  figures.own_bands_sensed = own.sensed;
  figures.dose_within_10_percent_sensed_ratio = share_of(own.dose_good, own.sensed);
  figures.length_within_10mm_sensed_ratio = share_of(own.length_good, own.sensed);
  figures.dose_mean_m3 = statistics::mean_of(own.dose_m3);
  figures.dose_sd_m3 = statistics::sd_of(own.dose_m3);
  std::sort(own.on_target_ratio.begin(), own.on_target_ratio.end());
  figures.on_target_mean_ratio = statistics::mean_of(own.on_target_ratio);
  figures.on_target_p05_ratio = statistics::quantile_of(own.on_target_ratio, 0.05);
  figures.secondary_mean_ratio = secondary_mean_ratio(rows);
  figures.in_band_rate_m3pm2 = figures.dose_mean_m3 / (scenario.row.width_m * rules.band_length_m);
  add_volumes(rows, scenario, figures);
  return figures;
}

// Errors of sensed seeds as the break-even takes them; a seed that is no good at any scatter has
// none.
double break_even_of(std::span<const RowRecord> rows, const PlacementRules& rules) {
  const Goal goal;
  std::vector<double> errors_m;
  long long sensed = 0;
  for (const RowRecord& row : rows) {
    for (std::size_t i = 0; i < row.seeds.size(); ++i) {
      const SeedRecord& seed = row.seeds[i];
      if (!seed.sensed) continue;
      ++sensed;
      if (has_own_band(seed)) {
        errors_m.push_back(seed.placement_error_m);
      } else if (within_tolerance(row, static_cast<int>(i), goal.tolerance_m, rules)) {
        const EndMisses misses = stretch_end_misses(row, band_of(row, seed), rules.band_length_m);
        errors_m.push_back(std::max(std::fabs(misses.start_m), std::fabs(misses.end_m)));
      }
    }
  }
  return break_even_scatter_m(errors_m, sensed, goal);
}

std::vector<double> spacings_of(std::span<const RowRecord> rows) {
  std::vector<double> spacings_m;
  for (const RowRecord& row : rows) {
    std::vector<double> places_m;
    places_m.reserve(row.seeds.size());
    for (const SeedRecord& seed : row.seeds) places_m.push_back(seed.rest_x_ground_m);
    std::sort(places_m.begin(), places_m.end());
    for (std::size_t i = 1; i < places_m.size(); ++i)
      spacings_m.push_back(places_m[i] - places_m[i - 1]);
  }
  return spacings_m;
}

void add_health(const sillion_health& row, sillion_health& sum) {
  sum.edges_accepted += row.edges_accepted;
  sum.edges_rejected += row.edges_rejected;
  sum.queue_overflows += row.queue_overflows;
  sum.late_compares += row.late_compares;
  sum.bad_frames += row.bad_frames;
  sum.resets += row.resets;
  sum.merged_seeds += row.merged_seeds;
  sum.continuous_ms += row.continuous_ms;
  sum.stale_speed_ms += row.stale_speed_ms;
  sum.capture_overflows += row.capture_overflows;
  sum.skipped_seeds += row.skipped_seeds;
  sum.safe_closed_ms += row.safe_closed_ms;
}

RequirementResult judged(const scenario::Requirement& requirement, const Summary& summary,
                         std::span<const RowRecord> rows, const PlacementRules& rules) {
  if (requirement.rule.form != scenario::TemporalForm::kNone)
    return judged_in_time(requirement, rows);
  return judged_metric(requirement, summary, witness_of(requirement.metric, rows, rules));
}

}  // namespace

PlacementRules placement_rules_of(const scenario::Scenario& scenario) {
  PlacementRules rules;
  rules.theoretical_spacing_m = scenario.seeding.meter.spacing_m;
  rules.band_length_m = scenario.rate.band_length_m;
  rules.commanded_dose_m3 =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.rate.band_length_m;
  rules.edge_jitter_s = scenario.sensor.sensor.jitter_s;
  return rules;
}

Summary summarize(std::span<RowRecord> rows, const scenario::Scenario& scenario,
                  double simulated_s) {
  const PlacementRules rules = placement_rules_of(scenario);
  Summary summary;
  summary.simulated_s = simulated_s;
  for (RowRecord& row : rows) {
    match_bands(row, rules);
    Figures figures = figures_of(std::span<const RowRecord>(&row, 1), scenario, rules);
    figures.lag_seeds = winning_lag_seeds(row);
    summary.rows.push_back(figures);
    add_health(row.health, summary.health);
  }
  summary.all = figures_of(rows, scenario, rules);
  for (const Figures& row : summary.rows)
    if (std::abs(row.lag_seeds) > std::abs(summary.all.lag_seeds))
      summary.all.lag_seeds = row.lag_seeds;
  summary.spacing = spacing_quality(spacings_of(rows), rules.theoretical_spacing_m);
  summary.jet = jet_figures(rows, scenario);
  summary.break_even_scatter_m = break_even_of(rows, rules);
  for (const scenario::Requirement& requirement : scenario.requirements)
    summary.requirements.push_back(judged(requirement, summary, rows, rules));
  summary.verdict = verdict_of(summary);
  return summary;
}

void require_health(Summary& summary, std::span<const RowRecord> rows,
                    const scenario::Scenario& scenario) {
  if (scenario::any_fault_disturbs(scenario)) return;
  for (const char* metric : {"queue_overflows", "late_compares", "capture_overflows"}) {
    const bool stated =
        std::ranges::any_of(scenario.requirements,
                            [&](const scenario::Requirement& one) { return one.metric == metric; });
    if (stated) continue;
    const scenario::Requirement none{.metric = metric, .sense = scenario::BoundSense::kAtMost};
    RequirementResult result = judged(none, summary, rows, placement_rules_of(scenario));
    if (!result.holds) summary.requirements.push_back(std::move(result));
  }
  summary.verdict = verdict_of(summary);
}

const char* verdict_word(Verdict verdict) {
  switch (verdict) {
    case Verdict::kHold: return "hold";
    case Verdict::kFail: return "fail";
    case Verdict::kWrongSeed: return "wrong seed";
    case Verdict::kNoData: return "no data";
    case Verdict::kNone: break;
  }
  return "none";
}

}  // namespace sim::measure
