// The figures of a pass, as interface and README name them. Every share says its denominator in its name.
//
// Checked  tests/sim/summary_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/measure/placement.h"
#include "sim/measure/record.h"
#include "sim/measure/spacing.h"
#include "sim/scenario/scenario.h"

namespace sim {

struct Spread {
  double mean_m = kNone_ratio, sd_m = kNone_ratio;
  double p05_m = kNone_ratio, p50_m = kNone_ratio, p95_m = kNone_ratio;
  double abs_p95_m = kNone_ratio, max_abs_m = kNone_ratio;
};

struct WithinTolerance {
  double tolerance_m = 0.0;
  double placed_ratio = kNone_ratio;   // of all seeds placed
  double sensed_ratio = kNone_ratio;   // of sensed seeds
  double lower95_ratio = kNone_ratio;  // one-sided lower 95 % bound of sensed_ratio, by clusters (rows)
};

struct SeedCounts {
  long long placed = 0, sensed = 0, banded = 0, merged = 0, shared = 0, edge_missed = 0, no_band = 0, weak = 0;
};

struct Figures {
  SeedCounts seeds;
  long long stray_bands = 0;
  int lag_seeds = 0;  // of all rows the winning lag furthest from 0
  WithinTolerance within[3];  // 10 mm, 25 mm, half the band
  Spread placement_error;
  Spread band_length;
  double dose_within_10_percent_sensed_ratio = kNone_ratio;   // of sensed seeds with a band of their own
  double length_within_10mm_sensed_ratio = kNone_ratio;
  double on_target_mean_ratio = kNone_ratio, on_target_p05_ratio = kNone_ratio;
  double dose_mean_m3 = kNone_ratio, dose_sd_m3 = kNone_ratio;
  double gap_ratio = kNone_ratio;
  double secondary_mean_ratio = kNone_ratio;
  double in_band_rate_m3pm2 = kNone_ratio;
  double field_rate_m3pm2 = kNone_ratio;
  double applied_volume_m3 = 0.0;
  double balance_residual_ratio = 0.0;  // |in - out - stored| over throughput, largest of the rows
};

struct JetFigures {
  double speed_mps = kNone_ratio;                      // volume-weighted mean
  double thrust_over_seed_weight_ratio = kNone_ratio;
  bool may_move_seed = false;
};

struct RequirementResult {
  std::string name;   // metric with its sense
  std::string unit;
  double limit = 0.0;  // tidy: unit is the metric's
  double value = 0.0;  // tidy: unit is the metric's
  bool holds = false;
};

enum class Verdict : std::uint8_t { kHold, kFail, kWrongSeed, kNone };

struct Summary {
  Figures all;
  std::vector<Figures> rows;
  SpacingQuality spacing;
  JetFigures jet;
  sillion_health health{};   // summed over rows
  double break_even_scatter_m = kNone_ratio;  // extra scatter below the sensor at which 95 % within 10 mm is lost
  double simulated_s = 0.0;
  Verdict verdict = Verdict::kNone;
  std::vector<RequirementResult> requirements;
};

/// Matches bands (fills the rows' fields) and sums up. Rows of several runs may stand one after the other: each is a cluster.
Summary summarize(std::span<RowRecord> rows, const Scenario& scenario, double simulated_s);
const char* verdict_word(Verdict verdict);  // "hold" | "fail" | "wrong seed" | "none"

/// One-sided lower 95 % bound of a share from clusters: Student t over the clusters' shares, but never above the
/// Wilson bound of the pooled counts. Shapes: good and total by cluster.
double lower95_ratio(std::span<const long long> good, std::span<const long long> total);

}  // namespace sim
