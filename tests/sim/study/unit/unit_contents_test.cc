// What a unit carries comes back as it was, and what it cannot carry is refused in words.
#include "sim/study/unit/unit_contents.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/text/input_error.h"
#include "tests/sim/study/unit/unit_cases.h"

namespace {

using sim::unit::UnitContents;

std::string refusal_of(const UnitContents& contents) {
  try {
    sim::unit::require_carried(contents);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return {};
}

TEST(UnitContents, ComeBackAsTheyWere) {
  UnitContents contents{.scenario = sim::unit::carried(unit_cases::row_scenario(
                            {"noise.tube_length=\"2 mm\"", "row.count=4"})),
                        .row = 2,
                        .drawn = true,
                        .with_controller = true,
                        .trim_um = -1234};
  contents.scenario.attachment.tube.creep = {{1e-10, 50e-3}};
  contents.table.delay_time_us = -77;
  contents.table.check_sum = 0xFFFFFFFFu;
  EXPECT_EQ(refusal_of(contents), "");
  const UnitContents back = sim::unit::read_contents(sim::unit::contents_text(contents));
  EXPECT_EQ(sim::unit::contents_text(back), sim::unit::contents_text(contents));
  EXPECT_EQ(back.trim_um, -1234);
  EXPECT_EQ(back.table.delay_time_us, -77);
  EXPECT_EQ(back.table.check_sum, 0xFFFFFFFFu);
  ASSERT_EQ(back.scenario.attachment.tube.creep.size(), 1u);
  EXPECT_EQ(back.scenario.attachment.tube.creep[0].time_s, 50e-3);
  EXPECT_EQ(sim::unit::fixed_of(back).liquid_path.tube.length_m,
            sim::unit::fixed_of(contents).liquid_path.tube.length_m);
  EXPECT_NE(sim::unit::fixed_of(back).liquid_path.tube.length_m,
            back.scenario.attachment.tube.length_m);
}

TEST(UnitContents, WhatCannotBeCarriedIsRefused) {
  UnitContents contents{.scenario = unit_cases::row_scenario({"row.physics=\"ideal\""})};
  EXPECT_THAT(refusal_of(contents), testing::HasSubstr("row.physics"));
  contents.scenario = unit_cases::row_scenario();
  contents.row = 3;
  EXPECT_THAT(refusal_of(contents), testing::HasSubstr("no row 3"));
  contents.row = 0;
  contents.scenario.attachment.valve.coil.table.lift_m = {0.0, 1e-3};
  EXPECT_THAT(refusal_of(contents), testing::HasSubstr("coil.table"));
}

TEST(UnitContents, DamagedTextIsRefused) {
  const std::string text =
      sim::unit::contents_text({.scenario = sim::unit::carried(unit_cases::row_scenario())});
  for (const std::string& damaged :
       {std::string(), text.substr(0, 40), "x" + text, text + "no line\n", text + "row.odd = 1\n"})
    EXPECT_THROW(sim::unit::read_contents(damaged), sim::text::InputError) << damaged.size();
}

}  // namespace
