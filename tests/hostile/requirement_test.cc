// Requirements that say too little, too much, or what no pass can bring about.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "sim/scenario/loader.h"

namespace sim {
namespace {

std::string error_of(const std::vector<std::string>& sets) {
  std::vector<std::string> all = {"require=[]"};
  all.insert(all.end(), sets.begin(), sets.end());
  try {
    scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/demo.toml", all);
  } catch (const text::InputError& error) {
    return error.what();
  }
  return "";
}

void expect_in(const std::string& text, const std::vector<std::string>& words) {
  for (const std::string& word : words) EXPECT_NE(text.find(word), std::string::npos) << text;
}

TEST(BadRequirement, UnknownSignalNamesTheNearest) {
  expect_in(error_of({"require[0].never=opn"}), {"require[0].never", "opn", "`open`"});
  expect_in(error_of({"require[0].always=supply presure", "require[0].at_least=1 bar"}),
            {"require[0].always", "`supply pressure`"});
}

TEST(BadRequirement, AFormTakesItsOwnKeysOnly) {
  expect_in(error_of({"require[0].never=open", "require[0].within=5 ms"}), {"require[0].within"});
  expect_in(error_of({"require[0].eventually=closed"}), {"state one of within and within_seeds"});
  expect_in(error_of({"require[0].hold=closed"}), {"require[0].until", "is missing"});
  expect_in(error_of({"require[0].always=lift", "require[0].at_most=1 bar"}),
            {"require[0].at_most"});
  expect_in(error_of({"require[0].never=open", "require[0].grace=5 ms"}), {"needs `while`"});
}

TEST(BadRequirement, WhatTheScenarioNeverBringsAboutIsRefused) {
  expect_in(error_of({"require[0].never=open", "require[0].while=lifted"}),
            {"require[0].while", "can never be violated", "work.lift_times"});
  expect_in(error_of({"require[0].eventually=alarm", "require[0].when=speed lost",
                      "require[0].within=1 s"}),
            {"require[0].when", "can never be violated", "lost_speed"});
}

TEST(BadRequirement, ABoundThatEveryPassHoldsIsRefused) {
  expect_in(error_of({"require[0].metric=within_10mm_sensed", "require[0].at_least=0 %"}),
            {"require[0].at_least", "can never be violated"});
  expect_in(error_of({"require[0].metric=no_band", "require[0].at_least=0"}),
            {"can never be violated"});
  EXPECT_EQ(error_of({"require[0].metric=no_band", "require[0].at_most=0"}), "");
}

TEST(BadRequirement, ABoundThatNoPassCanMeetIsRefusedWithWhatWasMeant) {
  expect_in(error_of({"require[0].metric=within_10mm_sensed", "require[0].at_least=95"}),
            {"require[0].at_least", "no pass can meet this", "\"95 %\""});
  expect_in(error_of({"require[0].metric=gap_ratio", "require[0].at_most=-0.1"}),
            {"require[0].at_most", "no pass can meet this", "from 0 to 1"});
  expect_in(error_of({"require[0].metric=placement_error_sd", "require[0].at_most=-1 mm"}),
            {"require[0].at_most", "never below 0"});
  EXPECT_EQ(error_of({"require[0].metric=placement_error_mean", "require[0].at_most=-1 mm"}), "");
  EXPECT_EQ(error_of({"require[0].metric=within_10mm_sensed", "require[0].at_least=100 %"}), "");
}

TEST(BadRequirement, TwoBoundsWithNothingBetweenAreRefused) {
  expect_in(error_of({"require[0].metric=placement_error_mean", "require[0].at_most=1 mm",
                      "require[1].metric=placement_error_mean", "require[1].at_least=2 mm"}),
            {"require[1].at_least", "require[0]", "on the other side"});
  EXPECT_EQ(error_of({"require[0].metric=placement_error_mean", "require[0].at_most=1 mm",
                      "require[1].metric=placement_error_mean", "require[1].at_least=1 mm"}),
            "");
}

}  // namespace
}  // namespace sim
