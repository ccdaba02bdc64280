#include "sim/measure/witness.h"

#include <cmath>
#include <functional>
#include <limits>

namespace sim::measure {
namespace {

constexpr double kWorst = std::numeric_limits<double>::infinity();  // tidy: unit the score's
constexpr double kNot = -1.0;                                       // tidy: unit the score's
using Score = std::function<double(const RowRecord&, int seed)>;    // negative: not counted

const SeedRecord& seed_of(const RowRecord& row, int seed) {
  return row.seeds[static_cast<std::size_t>(seed)];
}

double missed_or_far(const RowRecord& row, int seed,
                     const PlacementRules& rules) {  // tidy: unit the score's
  const SeedRecord& one = seed_of(row, seed);
  if (has_own_band(one)) return std::fabs(one.placement_error_m);
  const bool good = within_tolerance(row, seed, 0.010, rules);
  return one.sensed && !good ? kWorst : kNot;
}

Score score_of(std::string_view metric, const PlacementRules& rules) {
  const auto is = [](SeedStatus status) {
    return [status](const RowRecord& row, int seed) {
      return seed_of(row, seed).status == status ? 1.0 : kNot;
    };
  };
  if (metric.starts_with("placement_error"))
    return [](const RowRecord& row, int seed) {
      const SeedRecord& one = seed_of(row, seed);
      return has_own_band(one) ? std::fabs(one.placement_error_m) : kNot;
    };
  if (metric.starts_with("dose") || metric == "in_band_rate")
    return [rules](const RowRecord& row, int seed) {
      const SeedRecord& one = seed_of(row, seed);
      if (!has_own_band(one)) return kNot;
      const BandRecord& band = band_of(row, one);
      return std::fabs(band.dose_m3 - commanded_dose_m3(band, rules));
    };
  if (metric.starts_with("band_length") || metric.starts_with("length"))
    return [rules](const RowRecord& row, int seed) {
      const SeedRecord& one = seed_of(row, seed);
      if (!has_own_band(one)) return kNot;
      const BandRecord& band = band_of(row, one);
      return std::fabs(band.end_x_ground_m - band.start_x_ground_m - rules.band_length_m);
    };
  if (metric.starts_with("on_target"))
    return [](const RowRecord& row, int seed) {
      const double share_ratio = seed_of(row, seed).on_target_ratio;
      return share_ratio == share_ratio ? 1.0 - share_ratio : kNot;
    };
  if (metric == "merged") return is(SeedStatus::kMerged);
  if (metric == "shared") return is(SeedStatus::kShared);
  if (metric == "edge_missed") return is(SeedStatus::kEdgeMissed);
  if (metric == "no_band" || metric == "skipped_seeds" || metric == "queue_overflows")
    return is(SeedStatus::kNoBand);
  if (metric == "weak") return is(SeedStatus::kWeak);
  if (metric.starts_with("within_") || metric == "break_even_scatter" || metric == "lag_seeds" ||
      metric == "banded" || metric == "gap_ratio")
    return [rules](const RowRecord& row, int seed) { return missed_or_far(row, seed, rules); };
  return {};
}

Witness first_stray(std::span<const RowRecord> rows) {
  for (std::size_t row = 0; row < rows.size(); ++row)
    for (const BandRecord& band : rows[row].bands)
      if (band.stray) return {static_cast<int>(row), band.nearest_seed, band.open_s};
  return {};
}

}  // namespace

Witness witness_of(std::string_view metric, std::span<const RowRecord> rows,
                   const PlacementRules& rules) {
  if (metric == "stray_bands") return first_stray(rows);
  const Score score = score_of(metric, rules);
  Witness worst;
  if (!score) return worst;
  double highest = kNot;  // tidy: unit the score's
  for (std::size_t row = 0; row < rows.size(); ++row) {
    for (std::size_t seed = 0; seed < rows[row].seeds.size(); ++seed) {
      const double own = score(rows[row], static_cast<int>(seed));  // tidy: unit the score's
      if (!(own > highest)) continue;
      highest = own;
      worst = {static_cast<int>(row), static_cast<int>(seed), rows[row].seeds[seed].edge_s};
    }
  }
  return worst;
}

Witness witness_at(int row, double at_s, std::span<const RowRecord> rows) {
  Witness witness{row, -1, at_s};
  if (row < 0) return witness;
  const std::vector<SeedRecord>& seeds = rows[static_cast<std::size_t>(row)].seeds;
  double latest_s = -kWorst;
  for (std::size_t seed = 0; seed < seeds.size(); ++seed) {
    if (!(seeds[seed].edge_s <= at_s) || seeds[seed].edge_s < latest_s) continue;
    latest_s = seeds[seed].edge_s;
    witness.seed = static_cast<int>(seed);
  }
  return witness;
}

}  // namespace sim::measure
