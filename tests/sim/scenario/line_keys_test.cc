// Walls, creep, rise and free gas as a scenario states them.
#include "sim/scenario/line_keys.h"

#include <gtest/gtest.h>

#include <string>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

const std::filesystem::path kScenarios = std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios";
const std::string kLeast = R"([rate]
in_band = "5 gal/ac"
[attachment]
name = "short rake"
)";

// The error's text; empty where the scenario loads.
std::string refusal_of(const std::string& text) {
  const ScratchFolder folder;
  try {
    sim::scenario::load_scenario(folder.write("scenario.toml", text));
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return {};
}

sim::scenario::Scenario loaded(const std::string& text) {
  const ScratchFolder folder;
  return sim::scenario::load_scenario(folder.write("scenario.toml", text));
}

}  // namespace

// LDPE, 4 mm by 1 mm: 212.12 m/s in water by checks of tests/published/wave_speed_test.cc.
TEST(LineKeys, AWallGivesTheWaveSpeedOverTheCatalogs) {
  const sim::scenario::Scenario s =
      loaded(kLeast +
             "tube = {bore = \"4 mm\", wall = \"1 mm\", modulus = \"250 MPa\", "
             "poisson = 0.45, rise = \"-200 mm\"}\n");
  EXPECT_NEAR(s.attachment.tube.wave_speed_mps, 212.12, 0.05);
  EXPECT_DOUBLE_EQ(s.attachment.tube.rise_m, -0.2);
  EXPECT_EQ(s.attachment.hose.wave_speed_mps, 500.0);
}

TEST(LineKeys, WallAndWaveSpeedInOneFileNameBothLines) {
  const std::string said = refusal_of(kLeast +
                                      "[attachment.tube]\nwall = \"1 mm\"\n"
                                      "modulus = \"1 GPa\"\nwave_speed = \"400 m/s\"\n");
  EXPECT_NE(said.find("scenario.toml:8: attachment.tube.wave_speed"), std::string::npos) << said;
  EXPECT_NE(said.find("scenario.toml:6"), std::string::npos) << said;
}

TEST(LineKeys, AnUpperLayerReplacesWallBySpeed) {
  const ScratchFolder folder;
  const auto file = folder.write(
      "scenario.toml", kLeast + "[attachment.tube]\nwall = \"1 mm\"\nmodulus = \"1 GPa\"\n" +
                           "creep = [{compliance = \"1e-10 1/Pa\", time = \"50 ms\"}]\n");
  EXPECT_EQ(sim::scenario::load_scenario(file).attachment.tube.creep.size(), 1u);
  const auto over = [&](const std::string& set) {
    return sim::scenario::load_scenario(file, {set});
  };
  EXPECT_THROW(over("attachment.tube.wave_speed=\"300 m/s\""),
               sim::text::InputError);  // creep stands
  EXPECT_EQ(over("attachment.hose.wave_speed=\"300 m/s\"").attachment.hose.wave_speed_mps, 300.0);
}

TEST(LineKeys, SaysWhatAWallOrCreepLacks) {
  EXPECT_NE(refusal_of(kLeast + "[attachment.tube]\nwall = \"1 mm\"\n").find("modulus"),
            std::string::npos);
  EXPECT_NE(refusal_of(kLeast + "[attachment.tube]\ncreep = [{compliance = \"1e-10 1/Pa\", "
                                "time = \"1 s\"}]\n")
                .find("wall"),
            std::string::npos);
  EXPECT_NE(refusal_of(kLeast + "[attachment.tube]\ncreep = [{time = \"1 s\"}]\n")
                .find("creep[0].compliance"),
            std::string::npos);
}

TEST(LineKeys, FreeGasSlowsWavesAndThinsTheLiquid) {
  const sim::scenario::Scenario dry = loaded(kLeast);
  const sim::scenario::Scenario wet = loaded("[liquid]\ngas_fraction = \"0.1 %\"\n" + kLeast);
  EXPECT_DOUBLE_EQ(wet.liquid.liquid.density_kgpm3, 0.999 * dry.liquid.liquid.density_kgpm3);
  // 1/(rho a^2) of 400 m/s in water is 6.261e-9 / Pa; gas of 1e-3 at 101325 Pa adds 9.869e-9:
  // a = 400 sqrt(6.261/(16.130 * 0.999)) = 249.3 m/s by hand.
  EXPECT_NEAR(wet.attachment.tube.wave_speed_mps, 249.3, 0.1);
  // The hose stands under pressure: its gas is squeezed, so it loses less.
  EXPECT_GT(wet.attachment.hose.wave_speed_mps / 500.0, 0.9);
}

TEST(LineKeys, GasHasAPlaceAndHashesSeeIt) {
  const sim::scenario::Scenario at_outlet =
      loaded(kLeast + "gas_volume = \"5 mm3\"\ngas_place = \"outlet\"\n");
  EXPECT_EQ(at_outlet.attachment.gas_place, model::GasPlace::kOutlet);
  const sim::scenario::Scenario at_valve = loaded(kLeast + "gas_volume = \"5 mm3\"\n");
  EXPECT_NE(sim::scenario::canonical_text(at_outlet), sim::scenario::canonical_text(at_valve));
}
