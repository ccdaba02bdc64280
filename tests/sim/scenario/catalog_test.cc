// Liquids against figures from outside, attachments against what their scenarios need from them.
#include "sim/scenario/catalog.h"
#include "sim/scenario/delay_file.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

const std::filesystem::path kScenarios = std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios";

model::Liquid liquid_at(const std::string& name, double celsius_k) {
  return sim::scenario::catalog_liquid(name, kScenarios, 273.15 + celsius_k, {}, {});
}

}  // namespace

// IAPWS R12-08, table of check values: 889.7351 uPa s at 298.15 K and 998 kg/m3, within 0.2 % of
// water at atmospheric pressure (997.05 kg/m3).
TEST(Liquids, WaterAt25CHasTheViscosityOfTheRelease) {
  EXPECT_NEAR(liquid_at("water", 25.0).viscosity_pas, 889.7351e-6, 889.7351e-6 * 0.002);
  EXPECT_NEAR(liquid_at("water", 25.0).density_kgpm3, 997.047, 997.047e-4);  // IAPWS-95
}

// Between the rows: CRC Handbook of Chemistry and Physics, water at 22 C, from memory: 0.9544 mPa
// s, 997.770 kg/m3, 72.44 mN/m.
TEST(Liquids, WaterBetweenRowsIsNearTheHandbook) {
  const model::Liquid water = liquid_at("water", 22.0);
  EXPECT_NEAR(water.viscosity_pas, 0.9544e-3, 0.9544e-3 * 0.005);
  EXPECT_NEAR(water.density_kgpm3, 997.770, 0.1);
  EXPECT_NEAR(water.surface_tension_npm, 72.44e-3, 0.05e-3);
}

// Speed of sound in water at 20 C: 1482.3 m/s (Del Grosso and Mader 1972, from memory).
TEST(Liquids, WaterBulkModulusGivesTheSpeedOfSound) {
  const model::Liquid water = liquid_at("water", 20.0);
  const double squared_m2ps2_ratio = water.bulk_modulus_pa / water.density_kgpm3;
  EXPECT_NEAR(squared_m2ps2_ratio, 1482.3 * 1482.3, 1482.3 * 1482.3 * 0.001);
}

TEST(Liquids, DefaultLiquidIsTheCatalogsWaterAt20C) {
  const model::Liquid water = liquid_at("water", 20.0);
  const model::Liquid defaults;
  EXPECT_DOUBLE_EQ(water.density_kgpm3, defaults.density_kgpm3);
  EXPECT_DOUBLE_EQ(water.viscosity_pas, defaults.viscosity_pas);
  EXPECT_DOUBLE_EQ(water.bulk_modulus_pa, defaults.bulk_modulus_pa);
  EXPECT_DOUBLE_EQ(water.vapour_pressure_abs_pa, defaults.vapour_pressure_abs_pa);
  EXPECT_DOUBLE_EQ(water.surface_tension_npm, defaults.surface_tension_npm);
}

// Published densities of ammonium polyphosphate starters: 1.366 to 1.410 kg/l. Viscosity: falls.
TEST(Liquids, InventedStarterIsDenseAndThickensInTheCold) {
  double warmer_pas = 0.0;
  for (double celsius_k = 40.0; celsius_k >= 0.0; celsius_k -= 2.5) {
    const model::Liquid starter = liquid_at("invented starter", celsius_k);
    EXPECT_GE(starter.density_kgpm3, 1366.0);
    EXPECT_LE(starter.density_kgpm3, 1410.0);
    EXPECT_GT(starter.viscosity_pas, warmer_pas);
    // dissolved salt lowers the vapour pressure of the water (Raoult)
    if (celsius_k >= 2.5) {
      EXPECT_LT(starter.vapour_pressure_abs_pa,
                liquid_at("water", celsius_k).vapour_pressure_abs_pa);
    }
    warmer_pas = starter.viscosity_pas;
  }
}

TEST(Liquids, InventionsSaySo) {
  for (const sim::scenario::CatalogEntry& liquid : sim::scenario::liquid_catalog(kScenarios)) {
    EXPECT_TRUE(liquid.name == "water" || liquid.note.starts_with("invented") ||
                liquid.name.ends_with("(density published, rest invented)"))
        << liquid.name;
    for (const char* value :
         {"density: ", "viscosity: ", "bulk_modulus: ", "vapour_pressure: ", "surface_tension: "})
      EXPECT_NE(liquid.note.find(value), std::string::npos) << liquid.name << " " << value;
  }
}

TEST(Liquids, OutsideTheTableIsAnError) {
  EXPECT_THROW(liquid_at("water", 41.0), sim::text::InputError);
  EXPECT_THROW(liquid_at("water", -1.0), sim::text::InputError);
  EXPECT_NO_THROW(liquid_at("water", 40.0));
}

TEST(Attachments, AreFourAndEachSaysItIsInventedAndBearsItsGrade) {
  const auto attachments = sim::scenario::attachment_catalog(kScenarios);
  EXPECT_EQ(attachments.size(), 4u);
  for (const sim::scenario::CatalogEntry& attachment : attachments) {
    EXPECT_TRUE(attachment.note.starts_with("invented")) << attachment.name;
    EXPECT_NO_THROW(sim::scenario::load_scenario(kScenarios / "demo.toml",
                                                 {"attachment.name=" + attachment.name}));
    const sim::scenario::Scenario scenario = sim::scenario::load_scenario(
        kScenarios / "demo.toml", {"attachment.name=" + attachment.name});
    const auto table = sim::scenario::delay_file_of(attachment.name, kScenarios);
    ASSERT_FALSE(table.empty()) << attachment.name;
    const sim::scenario::Grade grade =
        sim::scenario::grade_of(sim::scenario::read_delay_file(table), scenario.attachment);
    EXPECT_EQ(grade.grade, "simulated") << attachment.name << ": " << grade.why_not;
  }
}

// Bernoulli: 5 bar through the outlet alone, without any loss before it. Where this gives less than
// the wanted flow no valve helps; 5 gal/ac over 0.762 m at 16 km/h is 15.84 ml/s, 10 gal/ac twice
// that.
TEST(Attachments, OutletBoundTellsTheBestFromTheUnfit) {
  const auto bound_m3ps = [](const char* name) {
    const sim::scenario::Scenario s = sim::scenario::load_scenario(
        kScenarios / "demo.toml", {std::string("attachment.name=") + name});
    const double d_m = s.attachment.outlet.bore_m;
    const double speed2_ratio = 2.0 * s.supply.pressure_pa / s.liquid.liquid.density_kgpm3;
    return s.attachment.outlet.discharge_coefficient_ratio * 3.14159265358979 / 4.0 * d_m * d_m *
           std::sqrt(speed2_ratio);
  };
  EXPECT_GT(bound_m3ps("short rake"), 31.7e-6);
  EXPECT_LT(bound_m3ps("long hook"), 15.84e-6);
}

TEST(Catalogs, AFolderOfOnesOwnIsFoundFirstAndTheBuiltInStays) {
  const ScratchFolder folder;
  folder.write("catalog/liquids.toml", R"([[liquid]]
name = "cold tea"
note = "of this test"
[[liquid.points]]
temperature = "20 C"
density = "1 kg/l"
viscosity = "1 mPa s"
bulk_modulus = "2 GPa"
vapour_pressure = "2 kPa"
surface_tension = "70 mN/m"
)");
  const auto file = folder.write("s.toml", R"([liquid]
name = "cold tea"
[attachment]
name = "short rake"
[rate]
in_band = "5 gal/ac"
)");
  EXPECT_DOUBLE_EQ(sim::scenario::load_scenario(file).liquid.liquid.density_kgpm3, 1000.0);
  EXPECT_NO_THROW(sim::scenario::load_scenario(file, {"liquid.name=water"}));
  EXPECT_THROW(sim::scenario::load_scenario(file, {"liquid.temperature=21 C"}),
               sim::text::InputError);
}
