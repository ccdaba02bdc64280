#include "sim/scenario/metric_names.h"

namespace sim::scenario {
namespace {

constexpr MetricName kNames[] = {
    {"within_10mm_sensed", "ratio", "share of sensed seeds whose band lies within 10 mm of them"},
    {"within_10mm_sensed_lower95", "ratio",
     "one-sided lower 95 % bound of within_10mm_sensed, rows taken as clusters"},
    {"within_10mm_placed", "ratio",
     "share of all placed seeds whose band lies within 10 mm of them"},
    {"within_25mm_sensed", "ratio", "share of sensed seeds whose band lies within 25 mm of them"},
    {"within_25mm_sensed_lower95", "ratio", "one-sided lower 95 % bound of within_25mm_sensed"},
    {"within_25mm_placed", "ratio",
     "share of all placed seeds whose band lies within 25 mm of them"},
    {"within_half_band_sensed", "ratio",
     "share of sensed seeds whose band lies within half a band length of them"},
    {"within_half_band_sensed_lower95", "ratio",
     "one-sided lower 95 % bound of within_half_band_sensed"},
    {"within_half_band_placed", "ratio",
     "share of all placed seeds whose band lies within half a band length of them"},
    {"dose_within_10_percent_sensed", "ratio",
     "share of sensed seeds with a band of their own whose dose is within 10 % of the commanded "
     "dose"},
    {"length_within_10mm_sensed", "ratio",
     "share of sensed seeds with a band of their own whose length is within 10 mm of the commanded "
     "length"},
    {"gap_ratio", "ratio", "liquid outside all wanted bands divided by all liquid applied"},
    {"secondary_ratio", "ratio",
     "mean over bands of the share of the dose that leaves after the flow first fell below 5 %"},
    {"on_target_mean", "ratio", "mean share of a band's dose within half a band of its seed"},
    {"on_target_p05", "ratio",
     "5 % quantile of the share of a band's dose within half a band of its seed"},
    {"placement_error_mean", "m",
     "mean of band centre less seed, over seeds with a band of their own"},
    {"placement_error_sd", "m", "sd of band centre less seed, over seeds with a band of their own"},
    {"placement_error_p05", "m", "5 % quantile of band centre less seed"},
    {"placement_error_p50", "m", "median of band centre less seed"},
    {"placement_error_p95", "m", "95 % quantile of band centre less seed"},
    {"placement_error_abs_p95", "m", "95 % quantile of the distance between band centre and seed"},
    {"placement_error_max_abs", "m", "largest distance between band centre and seed"},
    {"band_length_mean", "m", "mean length of the bands that belong to one seed alone"},
    {"band_length_sd", "m", "sd of the length of the bands that belong to one seed alone"},
    {"dose_mean", "m3", "mean dose of the bands that belong to one seed alone"},
    {"dose_sd", "m3", "sd of the dose of the bands that belong to one seed alone"},
    {"in_band_rate", "m3/m2",
     "mean dose divided by the product of row width and commanded band length"},
    {"field_rate", "m3/m2",
     "volume landed on the way at work divided by the product of row width and that way"},
    {"applied_volume", "m3", "volume of liquid out of all outlets"},
    {"outward_max", "m",
     "farthest that liquid lands from its row's track, to the outside of a curve; 0 if straight"},
    {"balance_residual", "ratio",
     "largest value of all rows: |in - out - stored| divided by the volume that went in"},
    {"break_even_scatter", "m",
     "sd of extra scatter below the sensor at which the share of sensed seeds within 10 mm falls "
     "to 95 %"},
    {"placed", "1", "seeds placed"},
    {"sensed", "1", "placed seeds that raised an edge of their own"},
    {"banded", "1", "seeds with a band of their own of at least half the commanded dose"},
    {"merged", "1", "sensed seeds in a stretch of liquid that serves several seeds"},
    {"shared", "1", "seeds that only lie within another seed's band"},
    {"edge_missed", "1", "seeds without an edge and without a band"},
    {"no_band", "1", "sensed seeds without a band"},
    {"weak", "1", "seeds with a band of less than half the commanded dose"},
    {"stray_bands", "1", "bands that belong to no seed"},
    {"lag_seeds", "1",
     "lag between bands and seeds, in seeds: of all rows the one furthest from 0; not 0: wrong "
     "seed"},
    {"spacing_quality_of_feed_simple", "ratio", "single spacings divided by all measured spacings"},
    {"spacing_multiples_simple", "ratio", "multiples divided by all measured spacings"},
    {"spacing_misses_simple", "ratio", "skips divided by all measured spacings"},
    {"spacing_precision_simple", "ratio",
     "sd (n - 1) of single spacings divided by the theoretical spacing"},
    {"spacing_quality_of_feed_iso", "ratio",
     "single spacings divided by the theoretical intervals"},
    {"spacing_multiples_iso", "ratio", "multiples divided by the theoretical intervals"},
    {"spacing_misses_iso", "ratio", "misses divided by the theoretical intervals"},
    {"spacing_precision_iso", "ratio",
     "sd (n) of single spacings divided by the theoretical spacing"},
    {"jet_speed", "m/s", "mean speed of the jet, weighted by volume"},
    {"jet_thrust_over_seed_weight", "ratio", "thrust of the jet divided by the weight of a seed"},
    {"may_move_seed", "1", "1 when the jet may move the seed, else 0"},
    {"edges_rejected", "1", "edges that the row controllers rejected"},
    {"edges_accepted", "1", "edges that the row controllers took for seeds"},
    {"queue_overflows", "1", "seeds for which the row controllers' queues had no room"},
    {"late_compares", "1", "firing instants that had already passed when they were requested"},
    {"bad_frames", "1", "frames that the row controllers dropped"},
    {"capture_overflows", "1", "how often edges were lost before a row controller saw them"},
    {"skipped_seeds", "1", "seeds that the row controllers gave up"},
    {"merged_seeds", "1", "seeds that the row controllers merged into the pulse before"},
    {"resets", "1", "resets that the row controllers counted"},
    {"stream_time", "s",
     "time, summed over rows, for which the row controllers report a continuous stream"},
    {"stale_speed_time", "s",
     "time, summed over rows, for which the row controllers report that they had no speed"},
    {"safe_closed_time", "s",
     "time, summed over rows, for which the row controllers report a valve held closed"},
};

}  // namespace

std::span<const MetricName> metric_names() { return kNames; }

const MetricName* find_metric_name(std::string_view name) {
  for (const MetricName& metric : kNames)
    if (metric.name == name) return &metric;
  return nullptr;
}

}  // namespace sim::scenario
