// ATTACHMENT, --scenario and --set make one scenario; mistakes name key and nearest valid name.
#include "sim/command/attachment_input.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

const std::filesystem::path kDemo =
    std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "demo.toml";
const std::string kRate = "rate.in_band=\"5 gal/ac\"";

std::string refusal(const std::string& attachment, const std::filesystem::path& scenario,
                    const std::vector<std::string>& sets) {
  try {
    sim::attachment_input(attachment, scenario, sets);
  } catch (const sim::InputError& error) {
    return error.what();
  }
  return "not refused";
}

}  // namespace

TEST(AttachmentInput, NameTakesItsPartFromTheCatalogAndTheRestFromTheScenario) {
  const sim::Scenario s = sim::attachment_input("swan neck", kDemo, {});
  EXPECT_EQ(s.attachment.name, "swan neck");
  EXPECT_EQ(s.name, "swan_neck");
  EXPECT_DOUBLE_EQ(s.attachment.tube.length_m, 0.5);
  EXPECT_EQ(s.liquid.name, "invented starter");
  EXPECT_DOUBLE_EQ(s.seeding.meter.spacing_m, 0.15);
}

TEST(AttachmentInput, WithoutScenarioTheRestIsTheDefaultsAndTheRateMustBeStated) {
  const sim::Scenario s = sim::attachment_input("short rake", {}, {kRate});
  EXPECT_EQ(s.liquid.name, sim::LiquidSection{}.name);
  EXPECT_DOUBLE_EQ(s.supply.pressure_pa, sim::SupplySection{}.pressure_pa);
  EXPECT_THAT(refusal("short rake", {}, {}), HasSubstr("rate.in_band: must be stated"));
}

TEST(AttachmentInput, SetsLieOverAttachmentAndScenario) {
  const sim::Scenario s = sim::attachment_input(
      "short rake", kDemo, {"attachment.outlet.bore=\"1.4 mm\"", "travel.speed=\"9 km/h\""});
  EXPECT_DOUBLE_EQ(s.attachment.outlet.bore_m, 1.4e-3);
  EXPECT_DOUBLE_EQ(s.travel.speed_mps, 2.5);
}

TEST(AttachmentInput, AFileGivesItsAttachmentAndWithoutScenarioTheRestToo) {
  const ScratchFolder scratch;
  const auto file =
      scratch.write("mine.toml",
                    "[attachment]\nname = \"short rake\"\noutlet = {bore = \"1.3 mm\"}\n"
                    "[rate]\nin_band = \"7 gal/ac\"\n");
  const sim::Scenario alone = sim::attachment_input(file.string(), {}, {});
  const sim::Scenario beside = sim::attachment_input(file.string(), kDemo, {});
  EXPECT_DOUBLE_EQ(alone.attachment.outlet.bore_m, 1.3e-3);
  EXPECT_DOUBLE_EQ(beside.attachment.outlet.bore_m, 1.3e-3);
  EXPECT_EQ(alone.liquid.name, "water");
  EXPECT_EQ(beside.liquid.name, "invented starter");
  EXPECT_NEAR(alone.rate.in_band_m3pm2 / beside.rate.in_band_m3pm2, 7.0 / 5.0, 1e-12);
}

TEST(AttachmentInput, MistakesNameKeyAndNearest) {
  EXPECT_THAT(refusal("short rak", kDemo, {}),
              AllOf(HasSubstr("ATTACHMENT"), HasSubstr("nearest valid name: `short rake`")));
  EXPECT_THAT(refusal("", kDemo, {}), HasSubstr("attachment.name"));
  EXPECT_THAT(refusal("nowhere.toml", kDemo, {}), HasSubstr("nowhere.toml"));
  const ScratchFolder scratch;
  const auto bare = scratch.write("bare.toml", "seeds = 5\n");
  EXPECT_THAT(refusal(bare.string(), kDemo, {}), HasSubstr("states none"));
}
