#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "sim/measure/placement.h"

namespace sim::measure {
namespace {

constexpr int kPairsLeast = 8;
// Spacings that differ by less than this differ by rounding only: places run to kilometres.
constexpr double kRegular_m = 1e-9;
// With ten rival lags and thousands of rows in a study, 4 standard errors keep false alarms rare
// (about 3e-4 per row where lag 0 itself shows nothing); a truly shifted row passes them by far.
constexpr double kStandardErrorsLeast_ratio = 4.0;

struct LagFit {
  double correlation_ratio = statistics::kNone_ratio;
  int pairs = 0;
};

struct Spacings {
  std::vector<double> from_x_m;  // the seed at which each begins
  std::vector<double> seeds_m;
  std::vector<double> bands_m;  // not-a-number where one of the two seeds has no band of its own
};

Spacings spacings_of(const RowRecord& row) {
  std::vector<const SeedRecord*> seeds;
  for (const SeedRecord& seed : row.seeds)
    if (std::isfinite(seed.rest_x_ground_m)) seeds.push_back(&seed);
  std::stable_sort(seeds.begin(), seeds.end(), [](const SeedRecord* a, const SeedRecord* b) {
    return a->rest_x_ground_m < b->rest_x_ground_m;
  });
  Spacings spacings;
  for (std::size_t k = 0; k + 1 < seeds.size(); ++k) {
    const SeedRecord& a = *seeds[k];
    const SeedRecord& b = *seeds[k + 1];
    spacings.from_x_m.push_back(a.rest_x_ground_m);
    spacings.seeds_m.push_back(b.rest_x_ground_m - a.rest_x_ground_m);
    const auto centre = [&](const SeedRecord& seed) {
      return row.bands[static_cast<std::size_t>(seed.band)].centre_x_ground_m;
    };
    spacings.bands_m.push_back(has_own_band(a) && has_own_band(b) ? centre(b) - centre(a)
                                                                  : statistics::kNone_ratio);
  }
  return spacings;
}

double correlation_ratio(long long pairs, double band_m2, double seed_m2, double both_m2) {
  const double regular_m2 = static_cast<double>(pairs) * kRegular_m * kRegular_m;
  const bool regular = band_m2 <= regular_m2 || seed_m2 <= regular_m2;
  return regular ? 0.0 : both_m2 / (std::sqrt(band_m2) * std::sqrt(seed_m2));
}

// One pair more, by Welford's update of means and of sums of products.
void take_pair(LagSums::Pairs& pairs, double band_m, double seed_m) {
  const auto n = static_cast<double>(++pairs.count);
  const double band_apart_m = band_m - pairs.mean_band_m;
  const double seed_apart_m = seed_m - pairs.mean_seed_m;
  pairs.mean_band_m += band_apart_m / n;
  pairs.mean_seed_m += seed_apart_m / n;
  pairs.band_m2 += band_apart_m * (band_m - pairs.mean_band_m);
  pairs.seed_m2 += seed_apart_m * (seed_m - pairs.mean_seed_m);
  pairs.both_m2 += band_apart_m * (seed_m - pairs.mean_seed_m);
}

LagFit fit_at(const Spacings& spacings, int lag) {
  std::vector<std::pair<double, double>> pairs;
  const auto count = static_cast<std::ptrdiff_t>(spacings.seeds_m.size());
  for (std::ptrdiff_t k = 0; k < count; ++k) {
    const std::ptrdiff_t other = k + lag;
    const double band_m = spacings.bands_m[static_cast<std::size_t>(k)];
    if (other < 0 || other >= count || std::isnan(band_m)) continue;
    pairs.emplace_back(band_m, spacings.seeds_m[static_cast<std::size_t>(other)]);
  }
  LagFit fit;
  fit.pairs = static_cast<int>(pairs.size());
  if (fit.pairs < kPairsLeast) return fit;
  const double n = static_cast<double>(fit.pairs);
  double mean_band_m = 0.0, mean_seed_m = 0.0;
  for (const auto& [band_m, seed_m] : pairs) {
    mean_band_m += band_m / n;
    mean_seed_m += seed_m / n;
  }
  double band_m2 = 0.0, seed_m2 = 0.0, both_m2 = 0.0;
  for (const auto& [band_m, seed_m] : pairs) {
    band_m2 += (band_m - mean_band_m) * (band_m - mean_band_m);
    seed_m2 += (seed_m - mean_seed_m) * (seed_m - mean_seed_m);
    both_m2 += (band_m - mean_band_m) * (seed_m - mean_seed_m);
  }
  fit.correlation_ratio = correlation_ratio(fit.pairs, band_m2, seed_m2, both_m2);
  return fit;
}

std::size_t index_of(int lag) { return static_cast<std::size_t>(lag) + std::size_t{kLagMost}; }

std::array<LagFit, 2 * kLagMost + 1> fits_of(const RowRecord& row) {
  const Spacings spacings = spacings_of(row);
  std::array<LagFit, 2 * kLagMost + 1> fits;
  for (int lag = -kLagMost; lag <= kLagMost; ++lag) fits[index_of(lag)] = fit_at(spacings, lag);
  return fits;
}

// Fisher's z = atanh r is near normal with variance 1/(n - 3) whatever r is. It is kept off +-1,
// where hand-made rows without noise would make it infinite.
double fisher_z_ratio(double correlation_ratio) {
  const double r = std::clamp(correlation_ratio, -1.0 + 1e-12, 1.0 - 1e-12);
  return 0.5 * (model::log1p_of(r) - model::log1p_of(-r));
}

bool beats_by_more_than_chance(const LagFit& lag, const LagFit& zero) {
  const double error_ratio = std::sqrt(1.0 / (lag.pairs - 3) + 1.0 / (zero.pairs - 3));
  return fisher_z_ratio(lag.correlation_ratio) - fisher_z_ratio(zero.correlation_ratio) >
         kStandardErrorsLeast_ratio * error_ratio;
}

}  // namespace

std::array<double, 2 * kLagMost + 1> lag_correlation_ratio(const RowRecord& row) {
  std::array<double, 2 * kLagMost + 1> correlation_ratio{};
  const auto fits = fits_of(row);
  for (std::size_t i = 0; i < fits.size(); ++i) correlation_ratio[i] = fits[i].correlation_ratio;
  return correlation_ratio;
}

namespace {

int winning_lag_seeds(const std::array<LagFit, 2 * kLagMost + 1>& fits) {
  const LagFit& zero = fits[kLagMost];
  if (std::isnan(zero.correlation_ratio)) return 0;
  int winner = 0;
  double best_ratio = zero.correlation_ratio;
  bool tie = false;
  for (int lag = -kLagMost; lag <= kLagMost; ++lag) {
    const LagFit& fit = fits[index_of(lag)];
    if (lag == 0 || std::isnan(fit.correlation_ratio) || fit.correlation_ratio < best_ratio)
      continue;
    tie = fit.correlation_ratio == best_ratio;
    best_ratio = fit.correlation_ratio;
    winner = tie ? winner : lag;
  }
  if (winner == 0 || tie) return 0;
  const LagFit& best = fits[index_of(winner)];
  return beats_by_more_than_chance(best, zero) ? winner : 0;
}

}  // namespace

int winning_lag_seeds(const RowRecord& row) { return winning_lag_seeds(fits_of(row)); }

void LagSums::take(const RowRecord& row, double from_x_m, double to_x_m) {
  const Spacings spacings = spacings_of(row);
  const auto count = static_cast<std::ptrdiff_t>(spacings.seeds_m.size());
  for (std::ptrdiff_t k = 0; k < count; ++k) {
    const double band_m = spacings.bands_m[static_cast<std::size_t>(k)];
    const double x_m = spacings.from_x_m[static_cast<std::size_t>(k)];
    if (!(x_m >= from_x_m && x_m < to_x_m) || std::isnan(band_m)) continue;
    for (int lag = -kLagMost; lag <= kLagMost; ++lag) {
      const std::ptrdiff_t other = k + lag;
      if (other < 0 || other >= count) continue;
      take_pair(lags[index_of(lag)], band_m, spacings.seeds_m[static_cast<std::size_t>(other)]);
    }
  }
}

int winning_lag_seeds(const LagSums& sums) {
  std::array<LagFit, 2 * kLagMost + 1> fits;
  for (std::size_t k = 0; k < fits.size(); ++k) {
    const LagSums::Pairs& pairs = sums.lags[k];
    fits[k].pairs = static_cast<int>(pairs.count);
    if (pairs.count >= kPairsLeast)
      fits[k].correlation_ratio =
          correlation_ratio(pairs.count, pairs.band_m2, pairs.seed_m2, pairs.both_m2);
  }
  return winning_lag_seeds(fits);
}

}  // namespace sim::measure
