// The outlet by its coefficients or by the length of its bore, over all layers.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

const std::filesystem::path kDemo =
    std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "demo.toml";

model::Outlet outlet_with(const std::vector<std::string>& sets) {
  return sim::scenario::load_scenario(kDemo, sets).attachment.outlet;
}

std::string message_of(const std::vector<std::string>& sets) {
  try {
    outlet_with(sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

}  // namespace

// l/d = 4.8/1.6 = 3: Cdu = .827 - .0255 = .8015; c_lam = 20 (1 + 6.75) = 155. Over the catalog's
// .65.
TEST(OutletKeys, ALengthGivesBothCoefficients) {
  const model::Outlet outlet = outlet_with({"attachment.outlet.length=4.8 mm"});
  EXPECT_NEAR(outlet.discharge_coefficient_ratio, .8015, 1e-12);
  EXPECT_NEAR(outlet.laminar_coefficient_ratio, 155.0, 1e-10);
}

TEST(OutletKeys, WithoutALengthTheCatalogsCoefficientStands) {
  EXPECT_EQ(outlet_with({}).discharge_coefficient_ratio, 0.65);
  EXPECT_EQ(outlet_with({}).laminar_coefficient_ratio, 0.0);
}

TEST(OutletKeys, TheLayerAboveWins) {
  EXPECT_EQ(outlet_with(
                {"attachment.outlet.length=4.8 mm", "attachment.outlet.discharge_coefficient=0.7"})
                .discharge_coefficient_ratio,
            0.7);
  EXPECT_NEAR(outlet_with({"attachment.outlet.discharge_coefficient=0.7",
                           "attachment.outlet.length=4.8 mm"})
                  .discharge_coefficient_ratio,
              .8015, 1e-12);
}

TEST(OutletKeys, BothInOneTableContradict) {
  const ScratchFolder folder;
  for (const char* other : {"discharge_coefficient = 0.7", "laminar_coefficient = 10"}) {
    const auto file = folder.write("s.toml", std::string(R"([attachment]
name = "short rake"
outlet = {length = "4.8 mm", )") + other + "}\n[rate]\nin_band = \"5 gal/ac\"\n");
    try {
      sim::scenario::load_scenario(file);
      FAIL() << other;
    } catch (const sim::text::InputError& error) {
      EXPECT_THAT(error.what(), testing::HasSubstr("contradicts `attachment.outlet."));
      EXPECT_THAT(error.what(), testing::HasSubstr("s.toml:3"));
    }
  }
}

TEST(OutletKeys, OutsideTwoToTenBoresTheLawDoesNotHold) {
  EXPECT_THAT(message_of({"attachment.outlet.length=3.1 mm"}),
              testing::HasSubstr("the law of the short tube holds from 2 to 10"));
  EXPECT_THAT(message_of({"attachment.outlet.length=16.1 mm"}),
              testing::HasSubstr("the law of the short tube holds from 2 to 10"));
  EXPECT_EQ(message_of({"attachment.outlet.length=3.2 mm"}), "no error");
  EXPECT_EQ(message_of({"attachment.outlet.length=16 mm"}), "no error");
}
