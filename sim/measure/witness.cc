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

}  // namespace

WitnessSearch::WitnessSearch(std::string_view metric, const PlacementRules& rules)
    : strays_(metric == "stray_bands"), score_(score_of(metric, rules)), highest_(kNot) {}

void WitnessSearch::take_seeds(int row_index, const RowRecord& row, std::size_t first,
                               std::size_t last) {
  if (!score_) return;
  for (std::size_t seed = first; seed < last; ++seed) {
    const double own = score_(row, static_cast<int>(seed));  // tidy: unit the score's
    const int number = row.first_seed + static_cast<int>(seed);
    const bool before = row_index < worst_.row || (row_index == worst_.row && number < worst_.seed);
    if (!(own > highest_ || (own == highest_ && own > kNot && before))) continue;
    highest_ = own;
    worst_ = {row_index, number, row.seeds[seed].edge_s};
  }
}

void WitnessSearch::take_bands(int row_index, const RowRecord& row, std::size_t first,
                               std::size_t last) {
  if (!strays_ || (worst_.row >= 0 && worst_.row <= row_index)) return;
  for (std::size_t band = first; band < last; ++band) {
    const BandRecord& one = row.bands[band];
    if (!one.stray) continue;
    worst_ = {row_index, one.nearest_seed < 0 ? -1 : row.first_seed + one.nearest_seed, one.open_s};
    return;
  }
}

Witness witness_of(std::string_view metric, std::span<const RowRecord> rows,
                   const PlacementRules& rules) {
  WitnessSearch search(metric, rules);
  for (std::size_t row = 0; row < rows.size(); ++row) {
    search.take_seeds(static_cast<int>(row), rows[row], 0, rows[row].seeds.size());
    search.take_bands(static_cast<int>(row), rows[row], 0, rows[row].bands.size());
  }
  return search.worst();
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
