// Units against their definitions, as integers and fractions so that nothing can round.
//
// Source   international yard and pound agreement, 1959: 1 in = 25.4 mm, 1 lb = 0.45359237 kg; US
//          gallon = 231 cubic inches; acre = 43560 square feet; 3rd CGPM 1901: g = 9.80665 m/s2;
//          the products are derived exactly
#include "shared/units.h"

#include <gtest/gtest.h>

#include <cstdint>
#include <numeric>

namespace shared {
namespace {

constexpr double kUlp_ratio = 2.3e-16;

// gal/ac * mph * in -> gal/min: an acre is 43560 * 144 square inches, a mile per hour 63360/60
// inches per minute.
TEST(Units, FiveThousandNineHundredAndFortyIsExact) {
  constexpr std::int64_t kAcre_in2 = 43560LL * 144;
  constexpr std::int64_t kMilePerHour_in_per_min = 63360 / 60;
  static_assert(63360 % 60 == 0);
  static_assert(kAcre_in2 == 6'272'640);
  static_assert(kAcre_in2 % kMilePerHour_in_per_min == 0);
  EXPECT_EQ(kAcre_in2 / kMilePerHour_in_per_min, 5940);
  EXPECT_EQ(5940 / 12, 495) << "the form with the width in feet";
}

TEST(Units, OurFactorsGiveTheSame5940) {
  const double flow_m3ps = kGallonPerAcre_m3pm2 * kMilePerHour_mps * kInch_m;
  const double gallon_per_minute_m3ps = kGallon_m3 / 60.0;
  EXPECT_NEAR(gallon_per_minute_m3ps / flow_m3ps, 5940.0, 5940.0 * 4.0 * kUlp_ratio);
}

// gal/ac in l/ha: 231 * 25.4^3 mm3 over 43560 * (12 * 25.4)^2 mm2, as a fraction of integers.
TEST(Units, GallonPerAcreIs22225Over2376LitrePerHectare) {
  // 231 * 0.254^3 dm3 per 43560 * 3.048^2 dm2, and a hectare is 1e6 dm2; scaled by 1000^2 to
  // integers.
  constexpr std::int64_t kNumerator = 231LL * 254 * 254 * 254;  // l * 1e9
  constexpr std::int64_t kDenominator = 43560LL * 3048 * 3048;  // dm2 * 1e6
  const std::int64_t common = std::gcd(kNumerator, kDenominator);
  // rate = numerator / denominator * 1e6 (dm2/ha) / 1e3 (scales)
  std::int64_t top = kNumerator / common * 1000;
  std::int64_t bottom = kDenominator / common;
  const std::int64_t rest = std::gcd(top, bottom);
  top /= rest;
  bottom /= rest;
  EXPECT_EQ(top * 2376, bottom * 22225);
  EXPECT_NEAR(kGallonPerAcre_m3pm2 / kLitrePerHectare_m3pm2, 22225.0 / 2376.0,
              10.0 * 4.0 * kUlp_ratio);
}

TEST(Units, DefinitionsToTheLastDigit) {
  EXPECT_EQ(kInch_m, 0.0254);
  EXPECT_EQ(kFoot_m, 0.3048);
  EXPECT_NEAR(kGallon_m3, 231.0 * kInch_m * kInch_m * kInch_m, kUlp_ratio * kGallon_m3 * 4.0);
  EXPECT_NEAR(kAcre_m2, 43560.0 * kFoot_m * kFoot_m, kUlp_ratio * kAcre_m2 * 4.0);
  EXPECT_NEAR(kMile_m, 5280.0 * kFoot_m, kUlp_ratio * kMile_m * 2.0);
  EXPECT_NEAR(kMilePerHour_mps, 0.44704, kUlp_ratio);
  EXPECT_NEAR(kFluidOunce_m3, 29.5735295625e-6, kUlp_ratio * 3e-5);
  EXPECT_NEAR(kKnot_mps, 0.514444444444, 1e-12);
  EXPECT_NEAR(kPoundPerSquareInch_pa, 6894.757293168, 5e-10);
  EXPECT_NEAR(kPound_kg / kAcre_m2 * kHectare_m2, 1.120851156, 5e-10) << "lb/ac in kg/ha";
  EXPECT_NEAR(kPound_kg / kGallon_m3 * 1e-3, 0.119826427, 5e-10) << "lb/gal in kg/l";
}

// Metric rule of the trade: l/min = l/ha * km/h * m / 600, from 1 ha = 1e4 m2 and 1 km/h = 1000/60
// m/min.
TEST(Units, MetricRuleHas600) {
  const double flow_m3ps = kLitrePerHectare_m3pm2 * kKilometrePerHour_mps * 1.0;
  EXPECT_NEAR(1e-3 / 60.0 / flow_m3ps, 600.0, 600.0 * 4.0 * kUlp_ratio);
}

// 10 gal/min is 0.63090 l/s; 11.65 lb/gal, a printed density of 10-34-0, is 1396 kg/m3.
TEST(Units, PrintedConversions) {
  EXPECT_NEAR(kGallon_m3 / 60.0, 6.30902e-5, 5e-11);
  EXPECT_NEAR(11.65 * kPound_kg / kGallon_m3, 1396.0, 0.1);
}

}  // namespace
}  // namespace shared
