// ATTACHMENT, --scenario and --set make one scenario; mistakes name key and nearest valid name.
#include "sim/command/attachment_input.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/delay_file.h"
#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::AllOf;
using ::testing::EndsWith;
using ::testing::HasSubstr;

const std::filesystem::path kDemo =
    std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "demo.toml";
const std::string kRate = "rate.in_band=\"5 gal/ac\"";

std::string refusal(const std::string& attachment, const std::filesystem::path& scenario,
                    const std::vector<std::string>& sets) {
  try {
    sim::command::attachment_input(attachment, scenario, sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "not refused";
}

/// A complete part of a user's own, invented here; what `without` names is left out.
std::string own_part(const std::string& name, const std::string& without = "nothing") {
  const std::string lines[] = {
      "[attachment]",
      name,
      "outlet_offset = \"55 mm\"",
      "hold_current = \"2 A\"",
      "hose = {length = \"0.4 m\", bore = \"7 mm\", wave_speed = \"450 m/s\"}",
      "tube = {length = \"0.25 m\", bore = \"7 mm\", wave_speed = \"350 m/s\"}",
      "outlet = {bore = \"1.5 mm\", discharge_coefficient = 0.7}",
      "jet = {drop_height = \"35 mm\", aim = \"-15 deg\"}",
      "[attachment.valve]",
      "coil = {resistance = \"5 ohm\", inductance = \"3 mH\", force_constant = \"6 N/A\"}",
      "plunger = {mass = \"4 g\", preload = \"4 N\", spring_rate = \"2 N/mm\", travel = \"0.7 "
      "mm\"}",
      "seat = {diameter = \"3.5 mm\"}"};
  std::string text;
  for (std::string line : lines) {
    if (const std::size_t at = line.find(without); at != std::string::npos)
      line.erase(at, without.size());
    text += line + "\n";
  }
  return text;
}

}  // namespace

TEST(AttachmentInput, AWholePartOfOnesOwnNeedsNoCatalog) {
  const ScratchFolder scratch;
  const auto named = scratch.write("my_part.toml", own_part("name = \"my own\""));
  const auto nameless = scratch.write("nameless.toml", own_part(""));
  const sim::scenario::Scenario s = sim::command::attachment_input(named.string(), {}, {kRate});
  EXPECT_EQ(s.attachment.name, "my own");
  EXPECT_EQ(s.name, "my_own");
  EXPECT_DOUBLE_EQ(s.attachment.tube.length_m, 0.25);
  EXPECT_DOUBLE_EQ(s.attachment.valve.seat.diameter_m, 3.5e-3);
  EXPECT_EQ(sim::command::attachment_input(nameless.string(), {}, {kRate}).attachment.name,
            "nameless");
  // With the demo's machine around it, nothing of the demo's part is left.
  const sim::scenario::Scenario beside =
      sim::command::attachment_input(nameless.string(), kDemo, {});
  EXPECT_EQ(beside.liquid.name, "invented starter");
  EXPECT_EQ(sim::scenario::attachment_sum(beside.attachment),
            sim::scenario::attachment_sum(s.attachment));
}

TEST(AttachmentInput, WhatAPartOfOnesOwnLacksIsToldWithFileLineAndKey) {
  const ScratchFolder scratch;
  const auto lacks = [&](const std::string& name, const std::string& what) {
    return refusal(scratch.write("part.toml", own_part(name, what)).string(), {}, {kRate});
  };
  EXPECT_THAT(lacks("name = \"my own\"", "bore = \"1.5 mm\", "),
              HasSubstr("part.toml:7: attachment.outlet.bore: is missing"));
  EXPECT_THAT(lacks("", "seat = {diameter = \"3.5 mm\"}"),
              AllOf(HasSubstr("part.toml:9: attachment.valve.seat.diameter: is missing"),
                    HasSubstr("of the catalog, state its `name`")));
  EXPECT_THAT(lacks("", ", wave_speed = \"350 m/s\""),
              HasSubstr("part.toml:6: attachment.tube.wave_speed: is missing: an attachment "
                        "outside the catalog must state it (or tube.wall)"));
  const auto slip = scratch.write("slip.toml", "[attachment]\nname = \"short rak\"\n");
  EXPECT_THAT(refusal(slip.string(), {}, {kRate}),
              AllOf(HasSubstr("slip.toml:2: attachment.name: no attachment \"short rak\""),
                    HasSubstr("lacks outlet_offset, hold_current"),
                    EndsWith("nearest valid name: `short rake`")));
}

// A user's catalog that also holds the built-in names: both are within reach.
TEST(AttachmentInput, EachKnownNameIsToldOnce) {
  const ScratchFolder scratch;
  std::filesystem::copy(kDemo.parent_path() / "catalog", scratch.path() / "catalog",
                        std::filesystem::copy_options::recursive);
  const auto machine = scratch.write("machine.toml", "rate = {in_band = \"5 gal/ac\"}\n");
  EXPECT_THAT(refusal("nothing like it", machine, {}),
              HasSubstr("in the catalog (long hook, short rake, side saddle, swan neck)"));
}

TEST(AttachmentInput, NameTakesItsPartFromTheCatalogAndTheRestFromTheScenario) {
  const sim::scenario::Scenario s = sim::command::attachment_input("swan neck", kDemo, {});
  EXPECT_EQ(s.attachment.name, "swan neck");
  EXPECT_EQ(s.name, "swan_neck");
  EXPECT_DOUBLE_EQ(s.attachment.tube.length_m, 0.5);
  EXPECT_EQ(s.liquid.name, "invented starter");
  EXPECT_DOUBLE_EQ(s.seeding.meter.spacing_m, 0.15);
}

TEST(AttachmentInput, WithoutScenarioTheRestIsTheDefaultsAndTheRateMustBeStated) {
  const sim::scenario::Scenario s = sim::command::attachment_input("short rake", {}, {kRate});
  EXPECT_EQ(s.liquid.name, sim::scenario::LiquidSection{}.name);
  EXPECT_DOUBLE_EQ(s.supply.pressure_pa, sim::scenario::SupplySection{}.pressure_pa);
  EXPECT_THAT(refusal("short rake", {}, {}), HasSubstr("rate.in_band: must be stated"));
}

TEST(AttachmentInput, SetsLieOverAttachmentAndScenario) {
  const sim::scenario::Scenario s = sim::command::attachment_input(
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
  const sim::scenario::Scenario alone = sim::command::attachment_input(file.string(), {}, {});
  const sim::scenario::Scenario beside = sim::command::attachment_input(file.string(), kDemo, {});
  EXPECT_DOUBLE_EQ(alone.attachment.outlet.bore_m, 1.3e-3);
  EXPECT_DOUBLE_EQ(beside.attachment.outlet.bore_m, 1.3e-3);
  EXPECT_EQ(alone.liquid.name, "water");
  EXPECT_EQ(beside.liquid.name, "invented starter");
  EXPECT_NEAR(alone.rate.in_band_m3pm2 / beside.rate.in_band_m3pm2, 7.0 / 6.0, 1e-12);  // demo: 6
}

TEST(AttachmentInput, MistakesNameKeyAndNearest) {
  EXPECT_THAT(refusal("short rak", kDemo, {}),
              AllOf(HasSubstr("ATTACHMENT"), HasSubstr("nearest valid name: `short rake`")));
  EXPECT_THAT(refusal("", kDemo, {}), HasSubstr("attachment.name"));
  EXPECT_THAT(refusal("nowhere.toml", kDemo, {}), HasSubstr("nowhere.toml"));
  const ScratchFolder scratch;
  const auto bare = scratch.write("bare.toml", "seeds = 5\n");
  EXPECT_THAT(refusal(bare.string(), kDemo, {}), HasSubstr("attachment: is missing in this file"));
}
