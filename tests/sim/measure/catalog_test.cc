// Every metric of the catalog reads the member that its name says, of a summary in which no two
// members are alike. Names and meanings: sim/scenario/metric_names.h.
#include "sim/measure/catalog.h"

#include <gtest/gtest.h>

#include <string_view>
#include <vector>

#include "sim/measure/summary.h"

namespace {

using sim::measure::Summary;

struct Case {
  std::string_view metric;
  double* member;  // tidy: unit is the metric's
};

std::vector<Case> real_members(Summary& s) {
  auto& all = s.all;
  return {
      {"within_10mm_sensed", &all.within[0].sensed_ratio},
      {"within_10mm_sensed_lower95", &all.within[0].lower95_ratio},
      {"within_10mm_placed", &all.within[0].placed_ratio},
      {"within_25mm_sensed", &all.within[1].sensed_ratio},
      {"within_25mm_sensed_lower95", &all.within[1].lower95_ratio},
      {"within_25mm_placed", &all.within[1].placed_ratio},
      {"within_half_band_sensed", &all.within[2].sensed_ratio},
      {"within_half_band_sensed_lower95", &all.within[2].lower95_ratio},
      {"within_half_band_placed", &all.within[2].placed_ratio},
      {"dose_within_10_percent_sensed", &all.dose_within_10_percent_sensed_ratio},
      {"length_within_10mm_sensed", &all.length_within_10mm_sensed_ratio},
      {"gap_ratio", &all.gap_ratio},
      {"secondary_ratio", &all.secondary_mean_ratio},
      {"on_target_mean", &all.on_target_mean_ratio},
      {"on_target_p05", &all.on_target_p05_ratio},
      {"placement_error_mean", &all.placement_error.mean_m},
      {"placement_error_sd", &all.placement_error.sd_m},
      {"placement_error_p05", &all.placement_error.p05_m},
      {"placement_error_p50", &all.placement_error.p50_m},
      {"placement_error_p95", &all.placement_error.p95_m},
      {"placement_error_abs_p95", &all.placement_error.abs_p95_m},
      {"placement_error_max_abs", &all.placement_error.max_abs_m},
      {"band_length_mean", &all.band_length.mean_m},
      {"band_length_sd", &all.band_length.sd_m},
      {"dose_mean", &all.dose_mean_m3},
      {"dose_sd", &all.dose_sd_m3},
      {"in_band_rate", &all.in_band_rate_m3pm2},
      {"field_rate", &all.field_rate_m3pm2},
      {"applied_volume", &all.applied_volume_m3},
      {"outward_max", &all.outward_max_m},
      {"balance_residual", &all.balance_residual_ratio},
      {"break_even_scatter", &s.break_even_scatter_m},
      {"spacing_quality_of_feed_simple", &s.spacing.simple.quality_of_feed_ratio},
      {"spacing_multiples_simple", &s.spacing.simple.multiples_ratio},
      {"spacing_misses_simple", &s.spacing.simple.misses_ratio},
      {"spacing_precision_simple", &s.spacing.simple.precision_ratio},
      {"spacing_quality_of_feed_iso", &s.spacing.iso.quality_of_feed_ratio},
      {"spacing_multiples_iso", &s.spacing.iso.multiples_ratio},
      {"spacing_misses_iso", &s.spacing.iso.misses_ratio},
      {"spacing_precision_iso", &s.spacing.iso.precision_ratio},
      {"jet_speed", &s.jet.speed_mps},
      {"jet_thrust_over_seed_weight", &s.jet.thrust_over_seed_weight_ratio},
  };
}

double read(const Summary& s, std::string_view metric) {  // tidy: unit is the metric's
  const sim::measure::ReadMetric reading = sim::measure::find_reading(metric);
  EXPECT_NE(reading, nullptr) << metric;
  return reading == nullptr ? 0.0 : reading(s);
}

TEST(MetricReadings, OfRealNumbersAreTheirOwn) {
  Summary s;
  const std::vector<Case> cases = real_members(s);
  double mark = 1.5;  // tidy: unit none
  for (const Case& one : cases) *one.member = mark += 1.0;
  mark = 1.5;
  for (const Case& one : cases) EXPECT_EQ(read(s, one.metric), mark += 1.0) << one.metric;
}

TEST(MetricReadings, OfCountsAreTheirOwn) {
  Summary s;
  s.all.seeds = {101, 102, 103, 104, 105, 106, 107, 108};
  s.all.stray_bands = 109;
  s.all.lag_seeds = -3;
  const std::vector<std::string_view> metrics = {"placed",  "sensed", "banded",
                                                 "merged",  "shared", "edge_missed",
                                                 "no_band", "weak",   "stray_bands"};
  double count = 100.0;  // tidy: unit none
  for (const std::string_view metric : metrics) EXPECT_EQ(read(s, metric), ++count) << metric;
  EXPECT_EQ(read(s, "lag_seeds"), -3.0);
  EXPECT_EQ(read(s, "may_move_seed"), 0.0);
  s.jet.may_move_seed = true;
  EXPECT_EQ(read(s, "may_move_seed"), 1.0);
}

// Times of the health counters are milliseconds, metrics are in seconds.
TEST(MetricReadings, OfHealthAreTheirOwn) {
  Summary s;
  s.health.edges_accepted = 11;
  s.health.edges_rejected = 12;
  s.health.queue_overflows = 13;
  s.health.late_compares = 14;
  s.health.bad_frames = 15;
  s.health.capture_overflows = 16;
  s.health.skipped_seeds = 17;
  s.health.merged_seeds = 18;
  s.health.resets = 19;
  s.health.continuous_ms = 20'000;
  s.health.stale_speed_ms = 21'000;
  s.health.safe_closed_ms = 22'000;
  double number = 10.0;  // tidy: unit the metric's
  for (const std::string_view metric :
       {"edges_accepted", "edges_rejected", "queue_overflows", "late_compares", "bad_frames",
        "capture_overflows", "skipped_seeds", "merged_seeds", "resets", "stream_time",
        "stale_speed_time", "safe_closed_time"})
    EXPECT_DOUBLE_EQ(read(s, metric), ++number) << metric;
}

}  // namespace
