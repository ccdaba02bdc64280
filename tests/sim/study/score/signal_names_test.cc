// Names of signals: what is taken for which pin, and what a person who mistypes one is told.
#include "sim/study/score/signal_names.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/text/input_error.h"

namespace {

using sim::score::CaptureWords;
using sim::score::Holds;
using sim::score::PinUse;
using sim::score::RecordedSignal;
using sim::score::Role;
using testing::AllOf;
using testing::HasSubstr;
using Recorded = std::vector<RecordedSignal>;

Recorded named(std::initializer_list<const char*> names) {
  Recorded recorded;
  for (const char* name : names) recorded.push_back({name, Holds::kAnything});
  return recorded;
}

std::string mistake(const Recorded& recorded, const CaptureWords& words = {}) {
  try {
    uses_of("a.vcd", recorded, words);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

TEST(SignalNames, OwnNamesAndGivenOnes) {
  const std::vector<PinUse> pins =
      uses_of("a.vcd", named({"clock", "drive", "D3", "row1.sensor", "row1.drive", "row63.seed"}),
              {.names = {{"row0.sensor", "D3"}}, .inverted = {"drive"}});
  ASSERT_EQ(pins.size(), 6u);
  EXPECT_EQ(pins[0].role, Role::kNone);
  EXPECT_EQ(pins[1].role, Role::kDrive);
  EXPECT_TRUE(pins[1].inverted);
  EXPECT_EQ(pins[2].role, Role::kSensor);
  EXPECT_FALSE(pins[2].inverted);
  EXPECT_EQ(pins[3].row, 1u);
  EXPECT_EQ(pins[5].role, Role::kNone);
}

// A row for each row that a scenario may have (`sillion list keys`: row.count up to 64).
TEST(SignalNames, AsManyRowsAsAScenarioMayHave) {
  Recorded recorded;
  for (int row = 0; row < 64; ++row)
    for (const char* pin : {"sensor", "drive"})
      recorded.push_back({"row" + std::to_string(row) + "." + pin, Holds::kLevels});
  const std::vector<PinUse> pins = uses_of("a.vcd", recorded, {});
  EXPECT_EQ(pins.back().row, 63u);
  EXPECT_EQ(pins.back().role, Role::kDrive);
}

TEST(SignalNames, AMistypedNameInTheRecording) {
  EXPECT_THAT(mistake(named({"sensr", "drive"})),
              AllOf(HasSubstr("a.vcd: row 0 has no signal row0.sensor"),
                    HasSubstr("which has sensr, drive"), HasSubstr("nearest valid name: `sensr`"),
                    HasSubstr("--signal row0.sensor=NAME")));
  EXPECT_THAT(mistake(named({"sensor", "row0.drlve"})), HasSubstr("name: `row0.drlve`"));
  // The other row's drive is taken and so is no answer.
  EXPECT_THAT(mistake(named({"row0.sensor", "row0.drive", "row1.sensor"})),
              AllOf(HasSubstr("row 1 has no signal row1.drive"), Not(HasSubstr("nearest"))));
  EXPECT_THAT(mistake(named({"sensor", "drive", "sensor"})),
              HasSubstr("row0.sensor is given by more than one signal: `sensor`, `sensor`"));
  EXPECT_THAT(mistake(named({"D0", "", "D1"})), HasSubstr("which has D0, D1; name them by"));
  EXPECT_THAT(mistake(named({""})), HasSubstr("which names none"));
}

TEST(SignalNames, AMistypedSignalOfAnOption) {
  const Recorded recorded = named({"D0", "D1"});
  EXPECT_THAT(mistake(recorded, {.names = {{"row0.driv", "D1"}}, .inverted = {}}),
              AllOf(HasSubstr("--signal row0.driv=D1: `row0.driv` is no signal"),
                    HasSubstr("nearest valid name: `row0.drive`")));
  EXPECT_THAT(mistake(recorded, {.names = {{"row7.curent_a", "D1"}}, .inverted = {}}),
              HasSubstr("nearest valid name: `row7.current_a`"));
  EXPECT_THAT(mistake(recorded, {.names = {{"row64.drive", "D1"}}, .inverted = {}}),
              HasSubstr("N from 0 to 63"));
  EXPECT_THAT(mistake(recorded, {.names = {{"row0.drive", "D11"}}, .inverted = {}}),
              AllOf(HasSubstr("a.vcd: --signal row0.drive=D11: no signal `D11`"),
                    HasSubstr("nearest valid name: `D1`")));
}

TEST(SignalNames, OneSignalIsOnePin) {
  EXPECT_THAT(mistake(named({"D0", "D1"}),
                      {.names = {{"row0.drive", "D0"}, {"row0.sensor", "D0"}}, .inverted = {}}),
              HasSubstr("--signal row0.sensor=D0: `D0` is row0.drive already"));
}

TEST(SignalNames, WhatIsInvertedIsRead) {
  const Recorded recorded = named({"sensor", "drive", "current_a"});
  const auto told = [&](const char* name) {
    return mistake(recorded, {.names = {}, .inverted = {name}});
  };
  EXPECT_THAT(told("row0.sensr"), AllOf(HasSubstr("--invert row0.sensr: no such signal is read"),
                                        HasSubstr("read are row0.sensor, row0.drive"),
                                        HasSubstr("nearest valid name: `row0.sensor`")));
  EXPECT_THAT(told("row1.drive"), HasSubstr("nearest valid name: `row0.drive`"));
  EXPECT_THAT(told("current_a"), HasSubstr("a current has no levels"));
}

TEST(SignalNames, ASignalHoldsWhatItsPinNeeds) {
  EXPECT_THAT(mistake({{"sensor", Holds::kNumbers}, {"drive", Holds::kLevels}}),
              HasSubstr("row0.sensor needs a signal of levels, but `sensor` holds numbers; the "
                        "recording has drive of that kind"));
  EXPECT_THAT(
      mistake(
          {{"sensor", Holds::kLevels}, {"drive", Holds::kLevels}, {"current_a", Holds::kLevels}}),
      HasSubstr("row0.current_a needs a signal of numbers, but `current_a` holds levels alone; the "
                "recording has none of that kind"));
}

}  // namespace
