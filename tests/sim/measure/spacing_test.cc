// The spacing indices give back what was set for the meter.
#include "sim/measure/spacing.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <span>
#include <vector>

#include "model/seed/seed_meter.h"
#include "shared/units.h"

namespace {

// A fixed generator of draws for the test alone (Marsaglia 2003, xorshift64).
struct Draws {
  std::uint64_t state = 88172645463325252ull;
  double uniform() {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return static_cast<double>(state >> 11) * 0x1.0p-53;
  }
  double normal() {
    const double r = std::sqrt(-2.0 * std::log(1.0 - uniform()));
    return r * std::cos(2.0 * shared::kPi_ratio * uniform());
  }
};

std::vector<double> metered_spacings_m(const model::SeedMeterParams& meter, int slots) {
  Draws draws;
  std::vector<double> places_m;
  for (int slot = 0; slot < slots; ++slot) {
    model::SeedMeterDraws d;
    d.kind_uniform_ratio = draws.uniform();
    d.scatter_normal_ratio = draws.normal();
    d.gap_uniform_ratio = draws.uniform();
    const model::MeteredSlot metered = model::metered_slot(meter, slot, d);
    for (int i = 0; i < metered.seeds; ++i) places_m.push_back(metered.x_at_sensor_m[i]);
  }
  std::sort(places_m.begin(), places_m.end());
  std::vector<double> spacings_m;
  for (std::size_t i = 1; i < places_m.size(); ++i)
    spacings_m.push_back(places_m[i] - places_m[i - 1]);
  return spacings_m;
}

}  // namespace

// A skip makes one spacing of two intervals, a double one spacing below half: in the ISO form both
// are shares of the intervals, so they read back as they were put in (scatter off).
TEST(SpacingOfTheMeter, IsoSharesReadBackDoublesAndSkips) {
  model::SeedMeterParams meter;
  meter.scatter_ratio = 0.0;
  meter.doubles_ratio = 0.03;
  meter.skips_ratio = 0.02;
  const int slots = 100000;
  const sim::measure::SpacingQuality q =
      sim::measure::spacing_quality(metered_spacings_m(meter, slots), 0.15);
  // Counts of rare events: 4 sd of a binomial are 0.0022 and 0.0018.
  EXPECT_NEAR(q.iso.multiples_ratio, 0.03, 0.0022);
  EXPECT_NEAR(q.iso.misses_ratio, 0.02, 0.0018);
}

// Places scatter by 12 % each, so spacings by sqrt(2) times that.
TEST(SpacingOfTheMeter, PrecisionIsRootTwoOfTheScatterOfPlaces) {
  model::SeedMeterParams meter;
  meter.scatter_ratio = 0.12;
  meter.doubles_ratio = 0.0;
  meter.skips_ratio = 0.0;
  const sim::measure::SpacingQuality q =
      sim::measure::spacing_quality(metered_spacings_m(meter, 100000), 0.15);
  EXPECT_NEAR(q.sd_m / 0.15, 0.12 * std::sqrt(2.0), 0.002);
}

// One spacing of each class: 0.4, 1, 2, 3 and 10 times the theoretical one. By intervals there are
// 1 + 2 + 3 + 4 = 10, of which 1 + 2 + 3 were missed (ISO 7256-1).
TEST(SpacingClasses, EachIsCountedOnce) {
  const double spacings_m[] = {0.4 * 0.15, 0.15, 0.30, 0.45, 1.5};
  const sim::measure::SpacingQuality q = sim::measure::spacing_quality(spacings_m, 0.15);
  for (const long long count : q.classes) EXPECT_EQ(count, 1);
  EXPECT_DOUBLE_EQ(q.simple.multiples_ratio, 0.2);
  EXPECT_DOUBLE_EQ(q.simple.quality_of_feed_ratio, 0.2);
  EXPECT_DOUBLE_EQ(q.simple.misses_ratio, 0.6);
  EXPECT_DOUBLE_EQ(q.iso.multiples_ratio, 0.1);
  EXPECT_DOUBLE_EQ(q.iso.misses_ratio, 0.6);
  EXPECT_DOUBLE_EQ(q.iso.quality_of_feed_ratio, 0.3);
  EXPECT_EQ(q.spacings, 5);
}

TEST(SpacingClasses, OneSpacingHasSharesAndNoScatter) {
  const double spacing_m[] = {0.15};
  const sim::measure::SpacingQuality q = sim::measure::spacing_quality(spacing_m, 0.15);
  EXPECT_EQ(q.simple.quality_of_feed_ratio, 1.0);
  EXPECT_TRUE(std::isnan(q.simple.precision_ratio));
  EXPECT_EQ(q.iso.precision_ratio, 0.0);
  EXPECT_TRUE(std::isnan(q.sd_m));
  EXPECT_TRUE(std::isnan(
      sim::measure::spacing_quality(std::span<const double>(), 0.15).simple.misses_ratio));
}
