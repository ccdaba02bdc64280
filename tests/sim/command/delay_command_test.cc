// The exit codes of `delay` and `today`, and what the program refuses before any work.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "tests/support/run_program.h"

namespace {

using testing::HasSubstr;

support::Ended ended(const std::string& command, const std::vector<std::string>& more) {
  std::vector<std::string> words = {command, "short rake", "--scenario", "scenarios/demo.toml",
                                    "--quiet"};
  for (const char* set :
       {"row.physics=ideal", "tuning.speeds=4", "tuning.seeds=80", "tuning.rates=2", "row.count=4"})
    words.insert(words.end(), {"--set", set});
  words.insert(words.end(), more.begin(), more.end());
  return support::sillion(words);
}

}  // namespace

// A seed that comes to rest 12 mm (sd) off leaves 60 % within 10 mm: 2 Phi(10/12) - 1 = 0.595.
TEST(DelayCommand, NoSpeedThatHoldsIsCodeOneInBoth) {
  const support::ScratchFolder scratch;
  for (const char* command : {"delay", "today"}) {
    const support::Ended none = ended(command, {"--set", "delivery.rest_scatter=12 mm", "--out",
                                                (scratch.path() / command).string()});
    EXPECT_EQ(none.code, 1) << command << ": " << none.err;
    EXPECT_THAT(none.out, HasSubstr("judged by: at least 95 % of the sensed seeds within 10 mm"));
    EXPECT_TRUE(std::filesystem::exists(scratch.path() / command / "summary.json")) << command;
  }
}

TEST(DelayCommand, OptionsOfTodayAreNamedAsSuchWithTheNearestWorkableValue) {
  EXPECT_THAT(ended("today", {"--temperature", "abc"}).err,
              HasSubstr("--temperature: \"abc\" is not a temperature"));
  const support::Ended cold = ended("today", {"--temperature", "-40 C"});
  EXPECT_EQ(cold.code, 2);
  EXPECT_THAT(cold.err, HasSubstr("the viscosity of `invented starter` is known from 0 C"));
  EXPECT_THAT(cold.err, HasSubstr("nearest workable: \"0 C\""));
  EXPECT_THAT(ended("today", {"--pressure", "0.1 bar"}).err,
              HasSubstr("--pressure: \"0.1 bar\" is below supply.pressure_min"));
  EXPECT_THAT(ended("today", {"--voltage", "500 V"}).err, HasSubstr("--voltage: \"500 V\""));
}

TEST(DelayCommand, SpeedsTheWrongWayRoundAreNamedWithBothValues) {
  EXPECT_THAT(ended("delay", {"--set", "tuning.slowest=22 km/h"}).err,
              HasSubstr("tuning.slowest = \"22 km/h\" and tuning.fastest = \"21 km/h\""));
}

TEST(DelayCommand, ABinaryFileOfPointsIsRefusedBeforeAnyWork) {
  const support::ScratchFolder scratch;
  const std::filesystem::path points = scratch.path() / "points.csv";
  std::ofstream(points, std::ios::binary) << std::string("speed\x01\x02\x03\n", 9);
  const support::Ended refused =
      ended("delay", {"--points", points.string(), "--out", (scratch.path() / "out").string()});
  EXPECT_EQ(refused.code, 2);
  EXPECT_THAT(refused.err, HasSubstr("points.csv:1: binary file"));
  EXPECT_FALSE(std::filesystem::exists(scratch.path() / "out"));
}
