// Rates of the trade: what is entered, what the root gets, what the tank loses.
#include "sim/study/rate/rate.h"

#include <gtest/gtest.h>

#include <random>
#include <vector>

#include "shared/units.h"

namespace sim {
namespace {

using namespace shared;

double gallons_per_acre(double rate_m3pm2) { return rate_m3pm2 / kGallonPerAcre_m3pm2; }

double tank_for(double entered_gal_per_ac) {
  const double share = rate::treated_ratio(0.150, 0.060);
  return gallons_per_acre(
      rate::field_average_rate_m3pm2(entered_gal_per_ac * kGallonPerAcre_m3pm2, share));
}

// A band of 60 mm every 150 mm treats 60/150 = 0.4 of the row: 6, 12 and 18 entered are 2.4, 4.8
// and 7.2 over the field. Figures of our own.
TEST(Rate, TheTankLosesTheTreatedShareOfWhatIsEntered) {
  EXPECT_NEAR(tank_for(6.0), 2.4, 1e-12);
  EXPECT_NEAR(tank_for(12.0), 4.8, 1e-12);
  EXPECT_NEAR(tank_for(18.0), 7.2, 1e-12);
}

// Common practice, no source: a continuous stream takes from the tank what was entered.
TEST(Rate, AContinuousStreamTakesWhatWasEntered) {
  EXPECT_EQ(rate::field_average_rate_m3pm2(10.0, 1.0), 10.0);
  EXPECT_EQ(rate::treated_ratio(0.10, 0.10), 1.0);
  EXPECT_EQ(rate::treated_ratio(0.10, 0.25), 1.0) << "overlap is counted once";
}

// Spacings 100, 200, 50, 150 mm and a 75 mm band: (75 + 75 + 50 + 75) / 500 = 0.55.
TEST(Rate, OverlapIsCountedOncePerSpacing) {
  const std::vector<double> spacings_m{0.10, 0.20, 0.05, 0.15};
  EXPECT_NEAR(rate::treated_ratio(spacings_m, 0.075), 0.55, 1e-15);
}

// Band equal to the mean spacing, 12 % normal scatter of the spacing: E[min(1, 1 + 0.12 z)] =
// 1 - 0.12 E[max(0, z)] = 1 - 0.12 / sqrt(2 pi) = 0.95213, worked by hand.
TEST(Rate, ScatterLowersTheTreatedShare) {
  std::mt19937_64 draws(7);
  const auto uniform = [&draws] { return static_cast<double>(draws() >> 11) * 0x1p-53; };
  std::vector<double> spacings_m(400'000);
  for (double& spacing_m : spacings_m) {
    double normal = -6.0;  // sum of twelve: mean 0, variance 1, half-mean 0.3970 against 0.3989
    for (int i = 0; i < 12; ++i) normal += uniform();
    spacing_m = 0.15 * (1.0 + 0.12 * normal);
  }
  EXPECT_NEAR(rate::treated_ratio(spacings_m, 0.15), 0.9521, 1e-3);
}

// A former stream of 6 over the area, 40 % of the row treated. concentrate 0: the strength beside
// the seed stays 6, so 2.4 leave the tank. 1: 6 leave the tank as before, so the band has
// 6 / 0.4 = 15. Half way: 6 (0.4 + 0.5 * 0.6) = 4.2 and 4.2 / 0.4 = 10.5. Figures of our own,
// worked by hand.
TEST(Rate, ConcentrateLeadsFromTheSameStrengthToTheSameVolume) {
  const double former = 6.0;
  EXPECT_NEAR(rate::concentrated_rates(former, 0.4, 0.0).field_average_m3pm2, 2.4, 1e-14);
  EXPECT_NEAR(rate::concentrated_rates(former, 0.4, 0.0).in_band_m3pm2, 6.0, 1e-14);
  EXPECT_NEAR(rate::concentrated_rates(former, 0.4, 0.5).field_average_m3pm2, 4.2, 1e-14);
  EXPECT_NEAR(rate::concentrated_rates(former, 0.4, 0.5).in_band_m3pm2, 10.5, 1e-14);
  EXPECT_NEAR(rate::concentrated_rates(former, 0.4, 1.0).in_band_m3pm2, 15.0, 1e-14);
  EXPECT_NEAR(rate::concentrated_rates(former, 0.4, 1.0).field_average_m3pm2, 6.0, 1e-14);
}

// Worked with exact fractions from the definitions of gallon, acre, inch and mile:
// 5 gal/ac, 10 km/h, 30 in = 0.156912 gpm = 0.593976 l/min = 9.89960 ml/s = 3.563857 ml per m of
// row.
TEST(Rate, TheWorkedRowFlow) {
  const double rate_m3pm2 = 5.0 * kGallonPerAcre_m3pm2;
  const double width_m = 30.0 * kInch_m;
  const double flow_m3ps = rate::row_flow_m3ps(rate_m3pm2, width_m, 10.0 * kKilometrePerHour_mps);
  EXPECT_NEAR(flow_m3ps * 1e6, 9.89960, 5e-6);
  EXPECT_NEAR(flow_m3ps / kGallon_m3 * 60.0, 0.156912, 5e-7);
  EXPECT_NEAR(flow_m3ps * 60e3, 0.593976, 5e-7);
  EXPECT_NEAR(rate::row_rate_m3pm(rate_m3pm2, width_m) * 1e6, 3.563857, 5e-7);
}

// Labels per length of row: 1 fl oz per 1000 ft = 29.5735 ml / 304.8 m = 0.0970 ml/m, and over 30
// in rows that is 0.0970e-6 / 0.762 m = 1.2733e-7 m3/m2 = 1.2733 l/ha = 0.136 gal/ac.
TEST(Rate, FluidOuncesPerThousandFeet) {
  const double per_length_m3pm = kFluidOunce_m3 / (1000.0 * kFoot_m);
  EXPECT_NEAR(per_length_m3pm * 1e6, 0.0970, 5e-5);
  EXPECT_NEAR(gallons_per_acre(per_length_m3pm / (30.0 * kInch_m)), 0.136, 5e-4);
}

}  // namespace
}  // namespace sim
