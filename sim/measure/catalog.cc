#include "sim/measure/catalog.h"

namespace sim::measure {
namespace {

using S = const Summary&;

struct Reading {
  std::string_view metric;
  ReadMetric read;
};

double count(long long n) { return static_cast<double>(n); }

constexpr Reading kReadings[] = {
    {"within_10mm_sensed", [](S s) { return s.all.within[0].sensed_ratio; }},
    {"within_10mm_sensed_lower95", [](S s) { return s.all.within[0].lower95_ratio; }},
    {"within_10mm_placed", [](S s) { return s.all.within[0].placed_ratio; }},
    {"within_25mm_sensed", [](S s) { return s.all.within[1].sensed_ratio; }},
    {"within_25mm_sensed_lower95", [](S s) { return s.all.within[1].lower95_ratio; }},
    {"within_25mm_placed", [](S s) { return s.all.within[1].placed_ratio; }},
    {"within_half_band_sensed", [](S s) { return s.all.within[2].sensed_ratio; }},
    {"within_half_band_sensed_lower95", [](S s) { return s.all.within[2].lower95_ratio; }},
    {"within_half_band_placed", [](S s) { return s.all.within[2].placed_ratio; }},
    {"dose_within_10_percent_sensed",
     [](S s) { return s.all.dose_within_10_percent_sensed_ratio; }},
    {"length_within_10mm_sensed", [](S s) { return s.all.length_within_10mm_sensed_ratio; }},
    {"gap_ratio", [](S s) { return s.all.gap_ratio; }},
    {"secondary_ratio", [](S s) { return s.all.secondary_mean_ratio; }},
    {"on_target_mean", [](S s) { return s.all.on_target_mean_ratio; }},
    {"on_target_p05", [](S s) { return s.all.on_target_p05_ratio; }},
    {"placement_error_mean", [](S s) { return s.all.placement_error.mean_m; }},
    {"placement_error_sd", [](S s) { return s.all.placement_error.sd_m; }},
    {"placement_error_p05", [](S s) { return s.all.placement_error.p05_m; }},
    {"placement_error_p50", [](S s) { return s.all.placement_error.p50_m; }},
    {"placement_error_p95", [](S s) { return s.all.placement_error.p95_m; }},
    {"placement_error_abs_p95", [](S s) { return s.all.placement_error.abs_p95_m; }},
    {"placement_error_max_abs", [](S s) { return s.all.placement_error.max_abs_m; }},
    {"band_length_mean", [](S s) { return s.all.band_length.mean_m; }},
    {"band_length_sd", [](S s) { return s.all.band_length.sd_m; }},
    {"dose_mean", [](S s) { return s.all.dose_mean_m3; }},
    {"dose_sd", [](S s) { return s.all.dose_sd_m3; }},
    {"in_band_rate", [](S s) { return s.all.in_band_rate_m3pm2; }},
    {"field_rate", [](S s) { return s.all.field_rate_m3pm2; }},
    {"applied_volume", [](S s) { return s.all.applied_volume_m3; }},
    {"outward_max", [](S s) { return s.all.outward_max_m; }},
    {"balance_residual", [](S s) { return s.all.balance_residual_ratio; }},
    {"break_even_scatter", [](S s) { return s.break_even_scatter_m; }},
    {"placed", [](S s) { return count(s.all.seeds.placed); }},
    {"sensed", [](S s) { return count(s.all.seeds.sensed); }},
    {"banded", [](S s) { return count(s.all.seeds.banded); }},
    {"merged", [](S s) { return count(s.all.seeds.merged); }},
    {"shared", [](S s) { return count(s.all.seeds.shared); }},
    {"edge_missed", [](S s) { return count(s.all.seeds.edge_missed); }},
    {"no_band", [](S s) { return count(s.all.seeds.no_band); }},
    {"weak", [](S s) { return count(s.all.seeds.weak); }},
    {"stray_bands", [](S s) { return count(s.all.stray_bands); }},
    {"lag_seeds", [](S s) { return count(s.all.lag_seeds); }},
    {"spacing_quality_of_feed_simple", [](S s) { return s.spacing.simple.quality_of_feed_ratio; }},
    {"spacing_multiples_simple", [](S s) { return s.spacing.simple.multiples_ratio; }},
    {"spacing_misses_simple", [](S s) { return s.spacing.simple.misses_ratio; }},
    {"spacing_precision_simple", [](S s) { return s.spacing.simple.precision_ratio; }},
    {"spacing_quality_of_feed_iso", [](S s) { return s.spacing.iso.quality_of_feed_ratio; }},
    {"spacing_multiples_iso", [](S s) { return s.spacing.iso.multiples_ratio; }},
    {"spacing_misses_iso", [](S s) { return s.spacing.iso.misses_ratio; }},
    {"spacing_precision_iso", [](S s) { return s.spacing.iso.precision_ratio; }},
    {"jet_speed", [](S s) { return s.jet.speed_mps; }},
    {"jet_thrust_over_seed_weight", [](S s) { return s.jet.thrust_over_seed_weight_ratio; }},
    {"may_move_seed", [](S s) { return s.jet.may_move_seed ? 1.0 : 0.0; }},
    {"edges_rejected", [](S s) { return count(s.health.edges_rejected); }},
    {"edges_accepted", [](S s) { return count(s.health.edges_accepted); }},
    {"queue_overflows", [](S s) { return count(s.health.queue_overflows); }},
    {"late_compares", [](S s) { return count(s.health.late_compares); }},
    {"bad_frames", [](S s) { return count(s.health.bad_frames); }},
    {"capture_overflows", [](S s) { return count(s.health.capture_overflows); }},
    {"skipped_seeds", [](S s) { return count(s.health.skipped_seeds); }},
    {"merged_seeds", [](S s) { return count(s.health.merged_seeds); }},
    {"resets", [](S s) { return count(s.health.resets); }},
    {"stream_time", [](S s) { return count(s.health.continuous_ms) * 1e-3; }},
    {"stale_speed_time", [](S s) { return count(s.health.stale_speed_ms) * 1e-3; }},
    {"safe_closed_time", [](S s) { return count(s.health.safe_closed_ms) * 1e-3; }},
};

}  // namespace

ReadMetric find_reading(std::string_view metric) {
  for (const Reading& reading : kReadings)
    if (reading.metric == metric) return reading.read;
  return nullptr;
}

}  // namespace sim::measure
