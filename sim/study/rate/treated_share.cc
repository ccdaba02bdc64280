#include "sim/study/rate/treated_share.h"

#include <algorithm>
#include <array>

#include "model/reproducible_math.h"
#include "shared/check.h"

namespace sim::rate {
namespace {

constexpr int kPoints = 97;
constexpr double kReach_ratio = 6.0;  // sd
constexpr double kRarest_ratio = 1e-12;
constexpr int kGaps = 16;

/// Places, in spacings, that the scatter of a seed gives, with their weights.
struct Scatter {
  std::array<double, kPoints> place_ratio{};
  std::array<double, kPoints> weight_ratio{};
};

Scatter scatter_of(double sd_ratio) {
  Scatter scatter;
  double sum_ratio = 0.0;
  for (int k = 0; k < kPoints; ++k) {
    const auto at = static_cast<std::size_t>(k);
    const double z_ratio = kReach_ratio * (2.0 * k / (kPoints - 1) - 1.0);
    scatter.place_ratio[at] = std::clamp(sd_ratio * z_ratio, -0.5, 0.5);
    scatter.weight_ratio[at] = model::exp_of(-0.5 * z_ratio * z_ratio);
    sum_ratio += scatter.weight_ratio[at];
  }
  for (double& weight_ratio : scatter.weight_ratio) weight_ratio /= sum_ratio;
  return scatter;
}

/// E[min(band, distance)] from a seed that lies `behind` after its slot's first to the next slot's
/// first.
double covered_ratio(const Scatter& scatter, double behind_ratio, double skips_ratio,
                     double band_ratio) {
  double covered = 0.0;  // tidy: unit is the spacing
  for (int i = 0; i < kPoints; ++i) {
    double of_place = 0.0;  // tidy: unit is the spacing
    for (int j = 0; j < kPoints; ++j) {
      const double moved_ratio = scatter.place_ratio[static_cast<std::size_t>(j)] -
                                 scatter.place_ratio[static_cast<std::size_t>(i)] - behind_ratio;
      double chance_ratio = 1.0 - skips_ratio;
      double expected = 0.0;  // tidy: unit is the spacing
      for (int skipped = 0; chance_ratio > kRarest_ratio; ++skipped) {
        expected += chance_ratio * std::clamp(1.0 + skipped + moved_ratio, 0.0, band_ratio);
        chance_ratio *= skips_ratio;
      }
      of_place += scatter.weight_ratio[static_cast<std::size_t>(j)] * expected;
    }
    covered += scatter.weight_ratio[static_cast<std::size_t>(i)] * of_place;
  }
  return covered;
}

}  // namespace

double seeds_per_slot_ratio(const model::SeedMeterParams& meter) {
  return 1.0 - meter.skips_ratio + meter.doubles_ratio;
}

double expected_treated_ratio(const model::SeedMeterParams& meter, double band_length_m) {
  EXPECTS(meter.spacing_m > 0.0 && band_length_m > 0.0 && meter.skips_ratio < 1.0);
  const double band_ratio = band_length_m / meter.spacing_m;
  const Scatter scatter = scatter_of(meter.scatter_ratio);
  const double singles_ratio = 1.0 - meter.skips_ratio - meter.doubles_ratio;
  double treated_ratio = singles_ratio * covered_ratio(scatter, 0.0, meter.skips_ratio, band_ratio);
  if (meter.doubles_ratio > 0.0) {
    const double span_ratio = meter.double_gap_max_ratio - meter.double_gap_min_ratio;
    double sum_ratio = 0.0;
    for (int k = 0; k < kGaps; ++k) {
      const double gap_ratio = meter.double_gap_min_ratio + span_ratio * (k + 0.5) / kGaps;
      sum_ratio += std::min(band_ratio, gap_ratio) +
                   covered_ratio(scatter, gap_ratio, meter.skips_ratio, band_ratio);
    }
    treated_ratio += meter.doubles_ratio * sum_ratio / kGaps;
  }
  return std::min(1.0, treated_ratio);
}

}  // namespace sim::rate
