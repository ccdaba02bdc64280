// The treated share by the meter's law against a count over the meter's own seeds, and its limits.
#include "sim/study/rate/treated_share.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "sim/study/rate/rate.h"

namespace sim::rate {
namespace {

/// Counts the union of bands over seeds that the meter itself lays, with draws of another
/// generator.
double counted_ratio(const model::SeedMeterParams& meter, double band_m, long long slots) {
  std::mt19937_64 draws(11);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform;
  std::vector<double> places_m;
  for (long long slot = 0; slot < slots; ++slot) {
    const model::MeteredSlot one = model::metered_slot(meter, slot,
                                                       {.kind_uniform_ratio = uniform(draws),
                                                        .scatter_normal_ratio = normal(draws),
                                                        .gap_uniform_ratio = uniform(draws)});
    for (int k = 0; k < one.seeds; ++k) places_m.push_back(one.x_at_sensor_m[k]);
  }
  std::sort(places_m.begin(), places_m.end());
  double treated_m = 0.0;
  for (std::size_t k = 1; k < places_m.size(); ++k)
    treated_m += std::min(band_m, places_m[k] - places_m[k - 1]);
  return treated_m / (places_m.back() - places_m.front());
}

TEST(TreatedShare, IsTheUnionOfBandsOverSeedsThatTheMeterLays) {
  for (const double scatter_ratio : {0.0, 0.12, 0.3})
    for (const double band_m : {0.03, 0.075, 0.15, 0.2}) {
      const model::SeedMeterParams meter{.spacing_m = 0.15,
                                         .scatter_ratio = scatter_ratio,
                                         .doubles_ratio = 0.03,
                                         .skips_ratio = 0.05};
      EXPECT_NEAR(expected_treated_ratio(meter, band_m), counted_ratio(meter, band_m, 300'000),
                  1.5e-3)
          << scatter_ratio << " " << band_m;
    }
}

TEST(TreatedShare, WithoutScatterItIsTheEvenSpacings) {
  const model::SeedMeterParams even{
      .spacing_m = 0.15, .scatter_ratio = 0.0, .doubles_ratio = 0.0, .skips_ratio = 0.0};
  for (const double band_m : {0.01, 0.075, 0.15, 0.4})
    EXPECT_NEAR(expected_treated_ratio(even, band_m), treated_ratio(0.15, band_m), 1e-12);
  EXPECT_DOUBLE_EQ(seeds_per_slot_ratio(even), 1.0);
}

// At band = spacing the kink lies where the density is greatest, the worst case for a rule over
// points: f = 1 - E[max(0, D - s)]/s = 1 - sqrt(2) sd / sqrt(2 pi), D the way between two places.
TEST(TreatedShare, IsTheClosedFormAtBandEqualToSpacing) {
  for (const double scatter_ratio : {0.03, 0.06, 0.12}) {
    const model::SeedMeterParams meter{
        .spacing_m = 0.1, .scatter_ratio = scatter_ratio, .doubles_ratio = 0.0, .skips_ratio = 0.0};
    EXPECT_NEAR(expected_treated_ratio(meter, 0.1),
                1.0 - scatter_ratio * std::sqrt(2.0) / std::sqrt(2.0 * std::numbers::pi),
                4e-4 * scatter_ratio)
        << scatter_ratio;
  }
}

// With half of all slots empty and short bands there are half as many bands, b/s each.
TEST(TreatedShare, SkipsTakeTheirBandsAway) {
  const model::SeedMeterParams half{
      .spacing_m = 0.1, .scatter_ratio = 0.0, .doubles_ratio = 0.0, .skips_ratio = 0.5};
  EXPECT_NEAR(expected_treated_ratio(half, 0.02), 0.5 * 0.2, 1e-9);
}

}  // namespace
}  // namespace sim::rate
