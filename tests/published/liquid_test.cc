// The catalog's liquids against formulations of water and printed densities from outside.
//
// Source   IAPWS R12-08 and IAPWS-IF97, Marczak 1997 (tests/support/iapws.h); rows of water:
//          IAPWS-95 and R12-08 at 101.325 kPa; densities and salting out: "Estimated physical
//          characteristics of fertilizer material" (studylib 18119690); 10-34-0 also UNL Passel
//          lesson, 11.4 lb/gal
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <string>

#include "shared/units.h"
#include "sim/scenario/catalog.h"
#include "tests/support/iapws.h"

namespace {

const std::filesystem::path kScenarios = std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios";
constexpr double kIce_k = 273.15;
constexpr double kAtmosphere_pa = 101'325.0;

model::Liquid liquid_at(const std::string& name, double temperature_k) {
  return sim::scenario::catalog_liquid(name, kScenarios, temperature_k, {}, {});
}

double sound_mps(const model::Liquid& liquid) {
  return std::sqrt(liquid.bulk_modulus_pa / liquid.density_kgpm3);
}

std::string grade(const char* name) {
  return std::string(name) + " (density published, rest invented)";
}

}  // namespace

// The reference formulas first: the check values that the releases print.
TEST(Iapws, CheckValuesOfTheReleases) {
  EXPECT_NEAR(iapws::viscosity_pas(998.0, 298.15) * 1e6, 889.7351001498, 1e-9);
  EXPECT_NEAR(iapws::saturation_pressure_abs_pa(300.0) * 1e-3, 3.53658941, 5e-9);
  EXPECT_NEAR(iapws::saturation_pressure_abs_pa(500.0) * 1e-6, 2.63889776, 5e-9);
  const iapws::Compressed water = iapws::compressed(3e6, 300.0);
  EXPECT_NEAR(1.0 / water.density_kgpm3, .100215168e-2, 5e-12);
  EXPECT_NEAR(water.sound_mps, 1507.73921, 5e-6);
}

class Water : public testing::TestWithParam<double> {};

// Tolerances of rho .01 %, mu .2 %, c .05 %, p_v .1 %, on rows and half-way between them. IF97's
// own speed of sound is up to 0.16 % above IAPWS-95 at the atmosphere, so c is compared with
// Marczak's.
TEST_P(Water, IsWithinTheTolerances) {
  const double temperature_k = kIce_k + GetParam();
  const model::Liquid water = liquid_at("water", temperature_k);
  const double density_kgpm3 = iapws::compressed(kAtmosphere_pa, temperature_k).density_kgpm3;
  EXPECT_NEAR(water.density_kgpm3 / density_kgpm3, 1.0, 1e-4);
  EXPECT_NEAR(water.viscosity_pas / iapws::viscosity_pas(density_kgpm3, temperature_k), 1.0, 2e-3);
  EXPECT_NEAR(sound_mps(water) / iapws::atmospheric_sound_mps(temperature_k), 1.0, 5e-4);
  EXPECT_NEAR(water.vapour_pressure_abs_pa / iapws::saturation_pressure_abs_pa(temperature_k), 1.0,
              1e-3);
}

INSTANTIATE_TEST_SUITE_P(BetweenRows, Water,
                         testing::Values(2.5, 7.5, 12.5, 17.5, 22.5, 27.5, 32.5, 37.5));
INSTANTIATE_TEST_SUITE_P(OnRows, Water,
                         testing::Values(0.02, 5., 10., 15., 20., 25., 30., 35., 40.));

struct WaterRow {
  double celsius_k, density_kgpm3, viscosity_upas, nu_mm2ps, sound_mps, modulus_gpa, vapour_kpa,
      tension_mnpm;
};

class WaterTable : public testing::TestWithParam<WaterRow> {};

// Every column of the table, at its tolerance; K and nu follow from the others.
TEST_P(WaterTable, AsPrinted) {
  const WaterRow row = GetParam();
  const model::Liquid water = liquid_at("water", kIce_k + row.celsius_k);
  EXPECT_NEAR(water.density_kgpm3 / row.density_kgpm3, 1.0, 1e-4);
  EXPECT_NEAR(water.viscosity_pas * 1e6 / row.viscosity_upas, 1.0, 2e-3);
  EXPECT_NEAR(water.viscosity_pas / water.density_kgpm3 * 1e6 / row.nu_mm2ps, 1.0, 2e-3);
  EXPECT_NEAR(sound_mps(water) / row.sound_mps, 1.0, 5e-4);
  EXPECT_NEAR(water.bulk_modulus_pa * 1e-9 / row.modulus_gpa, 1.0, 1e-3);
  EXPECT_NEAR(water.vapour_pressure_abs_pa * 1e-3 / row.vapour_kpa, 1.0, 1e-3);
  EXPECT_NEAR(water.surface_tension_npm * 1e3, row.tension_mnpm, 5e-3);
}

INSTANTIATE_TEST_SUITE_P(
    Rows, WaterTable,
    testing::Values(WaterRow{.02, 999.844, 1790.5, 1.79079, 1402.48, 1.9667, .6121, 75.64},
                    WaterRow{5, 999.967, 1518.2, 1.51822, 1426.17, 2.0339, .8726, 74.94},
                    WaterRow{10, 999.702, 1305.9, 1.30629, 1447.27, 2.0940, 1.2282, 74.22},
                    WaterRow{15, 999.103, 1137.6, 1.13859, 1465.93, 2.1470, 1.7058, 73.49},
                    WaterRow{20, 998.207, 1001.6, 1.00340, 1482.35, 2.1934, 2.3393, 72.74},
                    WaterRow{25, 997.048, 890.02, .89266, 1496.70, 2.2335, 3.1699, 71.97},
                    WaterRow{30, 995.649, 797.22, .80071, 1509.15, 2.2676, 4.2470, 71.19},
                    WaterRow{35, 994.033, 719.13, .72344, 1519.85, 2.2961, 5.6290, 70.40},
                    WaterRow{40, 992.216, 652.73, .65785, 1528.90, 2.3194, 7.3849, 69.60}));

struct Printed {
  const char* name;
  double pound_per_gallon_ratio;
  double at_fahrenheit_k;
  double salt_out_fahrenheit_k;
};

double from_fahrenheit_k(double degrees_k) { return kIce_k + (degrees_k - 32.0) / 1.8; }

class Grade : public testing::TestWithParam<Printed> {};

TEST_P(Grade, HasThePrintedDensity) {
  const model::Liquid liquid =
      liquid_at(grade(GetParam().name), from_fahrenheit_k(GetParam().at_fahrenheit_k));
  const double printed_kgpm3 =
      GetParam().pound_per_gallon_ratio * shared::kPound_kg / shared::kGallon_m3;
  EXPECT_NEAR(liquid.density_kgpm3 / printed_kgpm3, 1.0, 0.005 / 10.0) << "half the last digit";
}

TEST_P(Grade, IsRefusedWhereItSaltsOutAndSaysWhy) {
  const double salt_out_k = from_fahrenheit_k(GetParam().salt_out_fahrenheit_k);
  EXPECT_NO_THROW(liquid_at(grade(GetParam().name), salt_out_k + 0.1));
  try {
    liquid_at(grade(GetParam().name), salt_out_k - 0.1);
    FAIL() << "colder than its salting out";
  } catch (const sim::text::InputError& error) {
    EXPECT_THAT(error.what(), testing::HasSubstr("salts out at"));
  }
}

// No viscosity was found in print: all that can be asserted is that it falls as the liquid warms.
TEST_P(Grade, ThinsAsItWarms) {
  double colder_pas = 1e9;
  for (double celsius_k = -2.0; celsius_k <= 40.0; celsius_k += 2.0) {
    const double now_pas = liquid_at(grade(GetParam().name), kIce_k + celsius_k).viscosity_pas;
    EXPECT_LT(now_pas, colder_pas);
    colder_pas = now_pas;
  }
}

// 11.65 lb/gal has no printed temperature; by the slope between 20 and 30 F it stands at 24 C.
INSTANTIATE_TEST_SUITE_P(
    Liquids, Grade,
    testing::Values(Printed{"10-34-0", 11.76, 20.0, -10.0}, Printed{"10-34-0", 11.74, 30.0, -10.0},
                    Printed{"10-34-0", 11.65, 75.2, -10.0}, Printed{"28-0-0", 10.67, 68.0, -1.0},
                    Printed{"32-0-0", 11.06, 68.0, 28.0}, Printed{"7-21-7", 11.2, 68.0, 20.0},
                    Printed{"9-18-4", 11.3, 68.0, 5.0}, Printed{"12-0-0-26S", 11.04, 68.0, 20.0}));

// 11.65 lb/gal = 1396.0 kg/m3; 20 and 30 F: 1409.2 and 1406.8, slope -.43 kg/m3/K; prints differ
// from 1366 to 1410.
TEST(Grades, TenThirtyFourIsInsideThePrintedRange) {
  const std::string name = grade("10-34-0");
  const double at20_kgpm3 = liquid_at(name, from_fahrenheit_k(20.0)).density_kgpm3;
  const double at30_kgpm3 = liquid_at(name, from_fahrenheit_k(30.0)).density_kgpm3;
  EXPECT_NEAR(at20_kgpm3, 1409.2, 0.1);
  EXPECT_NEAR(at30_kgpm3, 1406.8, 0.1);
  EXPECT_NEAR((at30_kgpm3 - at20_kgpm3) * 1.8 / 10.0, -.43, 5e-3);
  for (double celsius_k = -6.6; celsius_k <= 40.0; celsius_k += 5.0) {
    const double density_kgpm3 = liquid_at(name, kIce_k + celsius_k).density_kgpm3;
    EXPECT_GE(density_kgpm3, 1366.0);
    EXPECT_LE(density_kgpm3, 1410.0);
  }
}
