// A small run and a small sweep put together by hand, for tests of tables and report. INVENTED: no
// bench made these figures; they only have the size of plausible ones (16 km/h, 0.15 m, bands of 75
// mm, errors of a few millimetres).
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "shared/units.h"
#include "sim/study/run/run.h"
#include "sim/study/sweep/sweep.h"

namespace tests {

/// Roughly normal numbers from a plain congruential generator: sum of twelve uniforms less six.
class Dice {
 public:
  explicit Dice(std::uint64_t key) : state_(key * 2862933555777941757u + 3037000493u) {}
  double uniform_ratio() {
    state_ = state_ * 6364136223846793005u + 1442695040888963407u;
    return static_cast<double>(state_ >> 11) / 9007199254740992.0;
  }
  double normal_ratio() {
    double sum_ratio = -6.0;
    for (int i = 0; i < 12; ++i) sum_ratio += uniform_ratio();
    return sum_ratio;
  }

 private:
  std::uint64_t state_;
};

inline sim::scenario::Scenario example_scenario() {
  sim::scenario::Scenario scenario;
  scenario.name = "example";
  scenario.title = "Example pass, invented: conveyor <delivery> & a short wide tube";
  scenario.rate.in_band_m3pm2 = 5.0 * shared::kGallonPerAcre_m3pm2;
  scenario.attachment.name = "short wide tube";
  scenario.attachment.hose = {0.1, 8e-3, 400.0};
  scenario.attachment.tube = {0.3, 8e-3, 400.0};
  scenario.attachment.outlet.bore_m = 1.3e-3;
  scenario.liquid.name = "invented starter";
  scenario.requirements = {{"within_10mm_sensed", sim::scenario::BoundSense::kAtLeast, 0.95}};
  scenario.seeds = 200;
  return scenario;
}

inline sim::measure::RowRecord example_row(int row_index, int seeds, double error_sd_m) {
  Dice dice(static_cast<std::uint64_t>(row_index) + 17);
  sim::measure::RowRecord row;
  const double v_mps = 4.4444444444444446;
  const double bias_m = 1.5e-3 * dice.normal_ratio();
  double x_m = 0.5;
  for (int i = 0; i < seeds; ++i) {
    x_m += 0.15 * (1.0 + 0.12 * dice.normal_ratio());
    if (dice.uniform_ratio() < 0.015) x_m += 0.15;
    sim::measure::SeedRecord seed;
    seed.edge_s = x_m / v_mps;
    seed.rest_x_ground_m = x_m + 0.12;
    seed.sensed = dice.uniform_ratio() >= 0.01;
    if (!seed.sensed) {
      seed.status = sim::measure::SeedStatus::kEdgeMissed;
    } else {
      const double half_m = 0.0375 * (1.0 + 0.03 * dice.normal_ratio());
      const double error_m = bias_m + error_sd_m * dice.normal_ratio();
      sim::measure::BandRecord band;
      band.open_s = seed.edge_s + 0.020;
      band.close_s = band.open_s + 0.0165;
      band.centre_x_ground_m = seed.rest_x_ground_m + error_m;
      band.start_x_ground_m = band.centre_x_ground_m - half_m;
      band.end_x_ground_m = band.centre_x_ground_m + half_m;
      band.dose_m3 = 2.7e-7 * (1.0 + 0.03 * dice.normal_ratio());
      band.secondary_ratio = 0.01;
      band.nearest_seed = i;
      seed.status = sim::measure::SeedStatus::kBanded;
      seed.band = static_cast<int>(row.bands.size());
      seed.placement_error_m = error_m;
      seed.on_target_ratio = 1.0 - std::abs(error_m) / 0.075;
      row.applied_volume_m3 += band.dose_m3;
      row.bands.push_back(band);
    }
    row.seeds.push_back(seed);
  }
  row.inlet_volume_m3 = row.applied_volume_m3;
  row.shortest_closed_s = 4e-3;
  row.travelled_m = x_m;
  row.health.edges_accepted = static_cast<std::uint32_t>(row.bands.size());
  row.health.edges_rejected = 1;
  return row;
}

/// Line density of row 0's first 3 m: each band has a flat top with short flanks and a thin tail
/// behind it.
inline void fill_density(sim::measure::RowRecord& row) {
  row.density = {row.bands.front().start_x_ground_m - 0.05, 1e-3, std::vector<double>(3000, 0.0)};
  for (const sim::measure::BandRecord& band : row.bands)
    for (std::size_t i = 0; i < row.density.volume_m3pm.size(); ++i) {
      const double x_m = row.density.from_x_ground_m + (static_cast<double>(i) + 0.5) * 1e-3;
      const double rise_ratio = std::clamp((x_m - band.start_x_ground_m) / 0.008 + 0.5, 0.0, 1.0);
      const double fall_ratio = std::clamp((band.end_x_ground_m - x_m) / 0.004 + 0.5, 0.0, 1.0);
      const bool tail = x_m > band.end_x_ground_m && x_m < band.end_x_ground_m + 0.01;
      row.density.volume_m3pm[i] +=
          band.dose_m3 / 0.075 * (rise_ratio * fall_ratio + (tail ? 0.04 : 0.0));
    }
}

inline sim::measure::PulseHistory example_history(double open_s) {
  sim::measure::PulseHistory history;
  const double dt_s = 2e-5;
  for (int i = 0; i < 1500; ++i) {
    const double t_s = i * dt_s - 2e-3;
    const bool on = t_s >= 0.0 && t_s < 0.0165;
    history.time_s.push_back(open_s + t_s);
    history.command_ratio.push_back(on ? 1.0 : 0.0);
    const double up_ratio =
        std::clamp(t_s / 1.2e-3, 0.0, 1.0) * std::clamp((0.0172 - t_s) / 0.7e-3, 0.0, 1.0);
    history.current_a.push_back(2.0 * up_ratio);
    const double lift_ratio = std::clamp((t_s - 0.4e-3) / 0.9e-3, 0.0, 1.0) *
                              std::clamp((0.0180 - t_s) / 0.9e-3, 0.0, 1.0);
    history.lift_m.push_back(0.6e-3 * lift_ratio);
    history.valve_flow_m3ps.push_back(1.6e-5 * lift_ratio);
    const double jet_ratio = std::clamp((t_s - 1.4e-3) / 1.5e-3, 0.0, 1.0) *
                             std::clamp((0.0186 - t_s) / 0.4e-3, 0.0, 1.0);
    history.outlet_flow_m3ps.push_back(1.6e-5 * jet_ratio +
                                       (t_s > 0.021 && t_s < 0.0225 ? 6e-7 : 0.0));
    history.valve_exit_pressure_pa.push_back(4e5 * lift_ratio);
    history.x_landing_ground_m.push_back(jet_ratio > 0.0 ? 1.0 + 4.44 * t_s
                                                         : sim::statistics::kNone_ratio);
  }
  return history;
}

inline sim::statistics::Spread spread_of(std::vector<double> values_m) {
  std::sort(values_m.begin(), values_m.end());
  const auto at = [&](double share_ratio) {
    return values_m[static_cast<std::size_t>(share_ratio *
                                             static_cast<double>(values_m.size() - 1))];
  };
  sim::statistics::Spread spread{0.0, 0.0, at(0.05), at(0.5), at(0.95), 0.0, 0.0};
  for (const double value_m : values_m)
    spread.mean_m += value_m / static_cast<double>(values_m.size());
  for (double& value_m : values_m) {
    spread.sd_m += (value_m - spread.mean_m) * (value_m - spread.mean_m) /
                   static_cast<double>(values_m.size() - 1);
    value_m = std::abs(value_m);
  }
  spread.sd_m = std::sqrt(spread.sd_m);
  std::sort(values_m.begin(), values_m.end());
  spread.abs_p95_m = at(0.95);
  spread.max_abs_m = values_m.back();
  return spread;
}

inline sim::measure::Figures example_figures(const std::vector<sim::measure::RowRecord>& rows) {
  sim::measure::Figures figures;
  std::vector<double> errors_m, lengths_m;
  const double tolerances_m[3] = {0.010, 0.025, 0.0375};
  long long good[3] = {};
  for (const sim::measure::RowRecord& row : rows) {
    for (const sim::measure::SeedRecord& seed : row.seeds) {
      ++figures.seeds.placed;
      figures.seeds.sensed += seed.sensed ? 1 : 0;
      figures.seeds.edge_missed += seed.sensed ? 0 : 1;
      if (seed.band < 0) continue;
      ++figures.seeds.banded;
      errors_m.push_back(seed.placement_error_m);
      for (int k = 0; k < 3; ++k)
        good[k] += std::abs(seed.placement_error_m) <= tolerances_m[k] ? 1 : 0;
      const sim::measure::BandRecord& band = row.bands[static_cast<std::size_t>(seed.band)];
      lengths_m.push_back(band.end_x_ground_m - band.start_x_ground_m);
    }
    figures.applied_volume_m3 += row.applied_volume_m3;
  }
  for (int k = 0; k < 3; ++k) {
    const double sensed_ratio =
        static_cast<double>(good[k]) / static_cast<double>(figures.seeds.sensed);
    figures.within[k] = {tolerances_m[k],
                         static_cast<double>(good[k]) / static_cast<double>(figures.seeds.placed),
                         sensed_ratio, sensed_ratio - 0.005};
  }
  figures.placement_error = spread_of(errors_m);
  figures.band_length = spread_of(lengths_m);
  figures.dose_within_10_percent_sensed_ratio = 0.991;
  figures.length_within_10mm_sensed_ratio = 0.987;
  figures.on_target_mean_ratio = 0.93;
  figures.on_target_p05_ratio = 0.86;
  figures.dose_mean_m3 = 2.7e-7;
  figures.dose_sd_m3 = 8e-9;
  figures.gap_ratio = 0.041;
  figures.secondary_mean_ratio = 0.01;
  figures.in_band_rate_m3pm2 = 4.7e-6;
  figures.field_rate_m3pm2 = 2.3e-6;
  figures.balance_residual_ratio = 2e-12;
  return figures;
}

inline sim::run::RunResult example_run(int rows = 8, int seeds = 200, double error_sd_m = 4.5e-3) {
  sim::run::RunResult result;
  result.scenario = example_scenario();
  result.scenario.row.count = rows;
  for (int i = 0; i < rows; ++i) result.record.rows.push_back(example_row(i, seeds, error_sd_m));
  fill_density(result.record.rows.front());
  result.record.history = example_history(result.record.rows.front().bands[2].open_s);
  result.record.simulated_s = 53.0;
  sim::measure::Summary& summary = result.summary;
  summary.all = example_figures(result.record.rows);
  for (const sim::measure::RowRecord& row : result.record.rows)
    summary.rows.push_back(example_figures({row}));
  summary.spacing = {1600,
                     {24, 1552, 22, 2, 0},
                     {0.015, 0.015, 0.97, 0.121},
                     {0.0148, 0.0160, 0.9692, 0.121},
                     0.1522,
                     0.024};
  summary.jet = {11.8, 62.0, true};
  summary.health.edges_accepted = 1590;
  summary.health.edges_rejected = 8;
  summary.health.merged_seeds = 3;
  summary.break_even_scatter_m = 3.4e-3;
  summary.simulated_s = 53.0;
  summary.verdict = summary.all.within[0].sensed_ratio >= 0.95 ? sim::measure::Verdict::kHold
                                                               : sim::measure::Verdict::kFail;
  summary.requirements = {
      {"within_10mm_sensed at least", "ratio", 0.95, summary.all.within[0].sensed_ratio,
       summary.all.within[0].sensed_ratio >= 0.95},
      {"gap_ratio at most", "ratio", 0.05, 0.041, true},
      {"placement_error_abs_p95 at most", "m", 0.010, summary.all.placement_error.abs_p95_m,
       summary.all.placement_error.abs_p95_m <= 0.010}};
  result.tuned.delay_time_s = -2.1e-3;
  result.tuned.delay_distance_m = 0.1425;
  result.tuned.lead_s = 5.1e-3;
  result.tuned.lag_s = 3.9e-3;
  result.tuned.delay_at_speed_s = 29.9e-3;
  result.tuned.smallest_offset_m = 0.012;
  result.tuned.shortest_closed_s = 4e-3;
  result.tuned.flow_m3ps = 1.58e-5;
  result.tuned.pressure_pa = 3.1e5;
  result.tuned.largest_flow_m3ps = 2.1e-5;
  result.tuned.spring_rate_needed_npm = 13000.0;
  result.tuned.table.points = 1;
  result.tuned.fit = {10000, {25, 0.0}, {75, 0.5}, 7.55e-4};
  result.hashes = {"0123456789abcdef", "1123456789abcdef", "2123456789abcdef", "3123456789abcdef",
                   "4123456789abcdef"};
  return result;
}

inline sim::sweep::SweepResult example_sweep() {
  sim::sweep::SweepResult sweep;
  sweep.name = "example_sweep";
  sweep.title = "Example sweep, invented";
  sweep.axes = {{"travel.speed", {"6 km/h", "8 km/h", "10 km/h", "12 km/h", "14 km/h", "16 km/h"}},
                {"seeding.spacing", {"0.10 m", "0.15 m", "0.20 m", "0.25 m"}}};
  sweep.replicas = 2;
  sweep.shown = example_run(4, 120);
  for (std::size_t i = 0; i < 6; ++i)
    for (std::size_t k = 0; k < 4; ++k) {
      sim::sweep::SweepCell cell;
      cell.values = {sweep.axes[0].values[i], sweep.axes[1].values[k]};
      cell.scenario = sweep.shown.scenario;
      cell.tuned = sweep.shown.tuned;
      cell.servable = !(i == 5 && k == 0);
      cell.tuned.servable = cell.servable;
      if (!cell.servable) {
        cell.tuned.smallest_offset_m = 0.071;
        cell.tuned.delay_at_speed_s = -0.0024;
      } else {
        const sim::run::RunResult run = example_run(
            4, 60, (2.5 + 0.75 * static_cast<double>(i) - 0.2 * static_cast<double>(k)) * 1e-3);
        cell.summary = run.summary;
        cell.summary.break_even_scatter_m = (5.0 - 0.6 * static_cast<double>(i)) * 1e-3;
      }
      sweep.cells.push_back(cell);
    }
  sweep.hashes = sweep.shown.hashes;
  sweep.stop = {.metric = "within_10mm_sensed", .unit = "ratio"};
  sweep.stop.plan = {0.01, 2, 0};
  for (std::size_t i = 0; i < sweep.cells.size(); ++i) {
    sim::sweep::SweepPrecision one{.held = sweep.cells[i].values, .first_cell = i};
    if (sweep.cells[i].servable) {
      one.observations = 2;
      one.interval = {0.95, 0.90, 1.0, 0.05};
      one.needed = 9;
    }
    sweep.precision.push_back(one);
  }
  return sweep;
}

}  // namespace tests
