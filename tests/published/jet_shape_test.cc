// Break-up, drops, dripping and splash of jets against printed figures.
//
// Source   break-up laws: R. P. Grant, S. Middleman 1966 and C. Weber 1931 as repositories quote
//          them; table of lengths and Weber numbers computed outside from the formulas, water at
//          20 C; Rayleigh 1879 (1.89 d printed, growth and wave from memory); C. Clanet, J. C.
//          Lasheras 1999 (abstract for K and Bo, formula from memory), speeds computed outside; C.
//          Mundo et al. 1995, 57.7 (from memory)
#include "model/furrow/jet_shape.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

const Liquid kWater{.density_kgpm3 = 998.207,
                    .viscosity_pas = 1.0016e-3,
                    .bulk_modulus_pa = 2.1934e9,
                    .vapour_pressure_abs_pa = 2339.3,
                    .surface_tension_npm = 0.07274};

struct Whole {
  double speed_mps;
  double weber_ratio;
  double weber_length_mm;
  double length_mm;
};

class BreakUp : public testing::TestWithParam<Whole> {};

// d = .8 mm. Weber's own law, L/d = 12 We^.5 (1 + 3 Oh), checks the numbers that the other law
// uses.
TEST_P(BreakUp, OfLaminarJets) {
  const double bore_m = .8e-3;
  const JetNumbers jet = jet_numbers(kWater, GetParam().speed_mps, bore_m);
  EXPECT_NEAR(jet.weber_ratio, GetParam().weber_ratio, 5e-3);
  EXPECT_NEAR(12.0 * std::sqrt(jet.weber_ratio) * (1.0 + 3.0 * jet.ohnesorge_ratio) * bore_m * 1e3,
              GetParam().weber_length_mm, .05);
  EXPECT_NEAR(laminar_breakup_length_m(jet, bore_m) * 1e3, GetParam().length_mm, .05);
  EXPECT_NEAR(jet.reynolds_ratio * jet.ohnesorge_ratio, std::sqrt(jet.weber_ratio), 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Water, BreakUp,
                         testing::Values(Whole{1.0, 10.98, 32.2, 52.2},
                                         Whole{2.0, 43.91, 64.4, 104.5},
                                         Whole{4.0, 175.65, 128.8, 208.9}));

// Drop heights of 20 to 60 mm are covered whole above some 2 m/s.
TEST(BreakUp, DropHeightsAreCoveredWholeAboveTwoMetresASecond) {
  EXPECT_GT(breakup_length_m(jet_numbers(kWater, 2.0, .8e-3), .8e-3), .060);
}

// 8.51 We^.32 by hand at We = 1000: 8.51 * 10^.96 = 77.611 d. Above Re 2300 this law is the one
// that is used, and it gives the shorter length.
TEST(BreakUp, TurbulentJetsBreakEarlier) {
  EXPECT_NEAR(turbulent_breakup_length_m({.weber_ratio = 1000.0}, 1e-3), 77.611e-3, 1e-5);
  const JetNumbers slow = jet_numbers(kWater, 2.2, 1e-3);  // Re 2193
  const JetNumbers fast = jet_numbers(kWater, 2.4, 1e-3);  // Re 2392
  EXPECT_EQ(breakup_length_m(slow, 1e-3), laminar_breakup_length_m(slow, 1e-3));
  EXPECT_EQ(breakup_length_m(fast, 1e-3), turbulent_breakup_length_m(fast, 1e-3));
  EXPECT_LT(breakup_length_m(fast, 1e-3), breakup_length_m(slow, 1e-3));
}

// The fastest wave is 4.508 d long; its cylinder makes a drop of (1.5 * 4.508)^(1/3) d = 1.89 d.
// Its growth .3433 sqrt(sigma/(rho r^3)) takes 3.815 ms an e-fold at 1 mm of water.
TEST(BreakUp, RayleighsDropAndGrowth) {
  EXPECT_NEAR(breakup_drop_m(1e-3), std::cbrt(1.5 * 4.508) * 1e-3, 2e-6);
  const double rate_ps = .3433 * std::sqrt(kWater.surface_tension_npm /
                                           (kWater.density_kgpm3 * .5e-3 * .5e-3 * .5e-3));
  EXPECT_NEAR(1e3 / rate_ps, 3.815, 5e-4);
  // Weber's 12 e-folds: the length is u times 12/growth for a thin liquid, here within 3 %.
  const JetNumbers jet = jet_numbers(kWater, 2.0, 1e-3);
  EXPECT_NEAR(12.0 * std::sqrt(jet.weber_ratio) * 1e-3 / (2.0 * 12.0 / rate_ps), 1.0, .03);
}

struct Rim {
  double bore_mm;
  double at_bore_mps;
  double one_more_mps;
};

class DripToJet : public testing::TestWithParam<Rim> {};

TEST_P(DripToJet, LeastSpeedInTheBore) {
  const double bore_m = GetParam().bore_mm * 1e-3;
  EXPECT_NEAR(least_jetting_speed_mps(kWater, bore_m, bore_m), GetParam().at_bore_mps, 5e-4);
  EXPECT_NEAR(least_jetting_speed_mps(kWater, bore_m, bore_m + 1e-3), GetParam().one_more_mps,
              5e-4);
}

INSTANTIATE_TEST_SUITE_P(Water, DripToJet,
                         testing::Values(Rim{.5, .683, 1.090}, Rim{.8, .505, .693},
                                         Rim{1.0, .432, .558}, Rim{1.5, .316, .371}));

// By hand: We = 10 000, Re = 10 000 gives 100 * 10 = 1000; We = 33.29, Re = 10^4: 5.77 * 10 = 57.7.
TEST(Splash, MundosNumber) {
  EXPECT_NEAR(splash_ratio({.weber_ratio = 1e4, .reynolds_ratio = 1e4}), 1000.0, 1e-9);
  EXPECT_NEAR(splash_ratio({.weber_ratio = 33.2929, .reynolds_ratio = 1e4}), kSplash_ratio, 1e-9);
}

}  // namespace
}  // namespace model
