// Classes of spacings at their edges, and of spacings that come in parts (spacing.h).
#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/spacing.h"

namespace spacing_parts {
namespace {

using sim::measure::spacing_quality;
using sim::measure::SpacingQuality;
using sim::measure::SpacingSums;

constexpr double kTheoretical_m = 0.15;

int class_of(double spacing_m, double theoretical_m = kTheoretical_m) {
  const SpacingQuality quality = spacing_quality(std::span(&spacing_m, 1), theoretical_m);
  for (int k = 0; k < 5; ++k)
    if (quality.classes[k] == 1) return k + 1;
  return 0;
}

// Half, 1.5, 2.5 and 3.5 times the theoretical spacing belong to the class below, also where the
// places were read in mm at the far end of a row: 75 mm from 1000.000 m on are a little more.
TEST(SpacingParts, AnEdgeBelongsToTheClassBelowIt) {
  EXPECT_EQ(class_of(0.075), 1);
  EXPECT_EQ(class_of(1000.075 - 1000.0), 1);
  EXPECT_GT((1000.075 - 1000.0) / kTheoretical_m, 0.5);
  EXPECT_EQ(class_of(0.5 + 1e-9, 1.0), 1) << "the slack itself";
  EXPECT_EQ(class_of(0.5 + 2e-9, 1.0), 2);
  EXPECT_EQ(class_of(0.225), 2);
  EXPECT_EQ(class_of(0.375), 3);
  EXPECT_EQ(class_of(0.525), 4);
  EXPECT_EQ(class_of(0.54), 5);
  EXPECT_EQ(class_of(0.60), 5) << "three seeds are missing";
}

TEST(SpacingParts, WithoutASingleSpacingThereIsNoPrecision) {
  const double skips_m[] = {0.30, 0.30};
  const SpacingQuality quality = spacing_quality(skips_m, kTheoretical_m);
  EXPECT_TRUE(std::isnan(quality.simple.precision_ratio));
  EXPECT_TRUE(std::isnan(quality.iso.precision_ratio));
  const SpacingQuality none = spacing_quality(std::span<const double>(), kTheoretical_m);
  EXPECT_TRUE(std::isnan(none.sd_m));
  EXPECT_TRUE(std::isnan(none.mean_m));
}

// Multiples of 60 mm, singles of 140 and 160 mm and a skip of 300 mm: the singles lie 10 mm off
// their mean, sd 10 sqrt 2 mm with the divisor 1 and 10 mm with the divisor 2.
TEST(SpacingParts, PartsAddUpInEveryClass) {
  SpacingSums first, second;
  for (const double spacing_m : {0.06, 0.14}) first.take(spacing_m, kTheoretical_m);
  for (const double spacing_m : {0.06, 0.16, 0.30}) second.take(spacing_m, kTheoretical_m);
  first.take(second);
  const SpacingQuality quality = spacing_quality(first, kTheoretical_m);
  EXPECT_EQ(quality.classes[0], 2);
  EXPECT_EQ(quality.classes[1], 2);
  EXPECT_EQ(quality.classes[2], 1);
  EXPECT_EQ(quality.spacings, 5);
  EXPECT_NEAR(quality.simple.precision_ratio, 0.010 * std::sqrt(2.0) / kTheoretical_m, 1e-12);
  EXPECT_NEAR(quality.iso.precision_ratio, 0.010 / kTheoretical_m, 1e-12);
}

}  // namespace
}  // namespace spacing_parts
