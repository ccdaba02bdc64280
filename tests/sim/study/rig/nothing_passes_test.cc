// Why nothing comes out of a rig: the numbers in the words are worked by hand.
#include "sim/study/rig/nothing_passes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "tests/support/run_program.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::HasSubstr;

std::string words(const std::vector<std::string>& sets) {
  const auto setup =
      sim::rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_rig.toml", sets);
  return sim::rig::nothing_passes_words(sim::rig::run_rig(setup), sim::output::Units::kMetric);
}

TEST(NothingPasses, APulseThatPassesNeedsNoWords) { EXPECT_EQ(words({"drive.pulses=1"}), ""); }

// The demo's valve needs 4.85 N and the pressure on its seat; its coil is held at 2.5 A. What it
// says is checked against itself: just below the pressure named it opens, just above it does not.
TEST(NothingPasses, PressureAboveTheSolenoidIsNamedWithThePressureThatWouldOpen) {
  const std::string said = words({"drive.pulses=1", "supply.pressure=8 bar"});
  EXPECT_THAT(said, HasSubstr("cannot open"));
  const std::size_t at = said.find("or below ");
  ASSERT_NE(at, std::string::npos) << said;
  const double bar = std::stod(said.substr(at + 9));
  EXPECT_THAT(said, HasSubstr("lower supply.pressure"));
  const auto opens = [&](double pressure_bar) {
    return words({"drive.pulses=1", "supply.pressure=" + std::to_string(pressure_bar) + " bar"})
               .find("cannot open") == std::string::npos;
  };
  EXPECT_TRUE(opens(bar - 0.05));
  EXPECT_FALSE(opens(bar + 0.05));
}

// 60 m of the demo's liquid, 1300 kg/m3 times 9.80665 m/s2: 7.65 bar against 3 bar.
TEST(NothingPasses, AHeadAboveTheSupplyIsNamedInBothPressures) {
  const std::string said = words({"drive.pulses=1", "tube.rise=60 m"});
  EXPECT_THAT(said, HasSubstr("60 m above the supply"));
  EXPECT_THAT(said, HasSubstr("gives 3.0"));
  EXPECT_THAT(said, HasSubstr("Raise supply.pressure"));
}

TEST(NothingPasses, TheCommandEndsWithNoData) {
  const support::ScratchFolder scratch;
  const support::Ended ended =
      support::sillion({"rig", "scenarios/demo_rig.toml", "--set", "supply.pressure=8 bar", "--out",
                        (scratch.path() / "out").string()});
  EXPECT_EQ(ended.code, 5);
  EXPECT_THAT(ended.out, HasSubstr("cannot open"));
}

}  // namespace
