// Where two builds part, also where one of them fails.
#include "sim/study/check/parting.h"

#include <gtest/gtest.h>

#include "sim/scenario/loader.h"
#include "sim/study/check/parting_words.h"

namespace sim::check {
namespace {

scenario::Scenario row(const std::string& mistake, const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets = {"duration=6 s", "row.count=2"};
  sets.insert(sets.end(), more.begin(), more.end());
  scenario::Scenario scenario =
      scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/pull_request_still.toml", sets);
  if (!mistake.empty())
    scenario.controller.library =
        std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + mistake + ".so";
  return scenario;
}

// 500 us more of delay are 500 ticks of 1 us at the first command.
TEST(Parting, ALongerDelayPartsAtTheFirstCompare) {
  const Parting parting = find_parting(row(""), row("late"), nullptr);
  ASSERT_EQ(parting.run, 0);
  EXPECT_TRUE(parting.same_input);
  ASSERT_FALSE(parting.differences.empty());
  EXPECT_EQ(parting.differences[0].member, "out.compares[0].at_ticks");
  EXPECT_EQ(parting.differences[0].new_value - parting.differences[0].old_value, 500);
  const std::string words = parting_line(parting);
  EXPECT_TRUE(words.starts_with("parts from the reference at row "));
  EXPECT_NE(words.find(" s: out.compares[0].at_ticks " +
                       std::to_string(parting.differences[0].new_value) + " instead of " +
                       std::to_string(parting.differences[0].old_value)),
            std::string::npos)
      << words;
}

TEST(Parting, TheSameBuildDoesNotPart) {
  const Parting parting = find_parting(row(""), row(""), nullptr);
  EXPECT_EQ(parting.run, -1);
  EXPECT_EQ(parting_line(parting),
            "every call is the reference's too: the controller is not the cause");
}

// A mistake that shows only when the speed changes, late in a pass that begins steadily.
TEST(Parting, WhatPartsLateIsFoundToo) {
  const std::vector<std::string> late_ramp = {
      "travel.profile=[{time=\"0 s\", speed=\"10 km/h\"}, {time=\"4.5 s\", speed=\"10 km/h\"}, "
      "{time=\"6 s\", speed=\"14 km/h\"}]"};
  const Parting parting = find_parting(row("", late_ramp), row("wrong_sign", late_ramp), nullptr);
  ASSERT_EQ(parting.run, 0);
  EXPECT_GT(parting.at_s, 4.4);
  EXPECT_EQ(parting.row, -1);
}

// The controller hangs at a row's 101st seed; until then it is the reference.
TEST(Parting, AHangPartsInTheCallThatDoesNotReturn) {
#if defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "see tests/sim/bench/guarded_call_test.cc";
#endif
  const Parting parting = find_parting(row(""), row("silent"), nullptr);
  ASSERT_EQ(parting.run, 0);
  EXPECT_FALSE(parting.fault.empty());
  EXPECT_GE(parting.row, 0);
  EXPECT_GT(parting.call, 100);
  EXPECT_NE(parting.fault.find("call " + std::to_string(parting.call)), std::string::npos)
      << parting.fault;
  EXPECT_NE(parting_line(parting).find("does as the reference does up to row "), std::string::npos);
}

TEST(Parting, FramesAreNamedByNumberAndByte) {
  const Parting parting{.run = 0,
                        .row = -1,
                        .call = 0,
                        .differences = {{"out.frames[0].bytes[8]", 3, 4}, {"out.x", 0, 1}}};
  EXPECT_EQ(parting_line(parting),
            "parts from the reference at the machine's controller, call 0, 0.000000 s: frame 0 "
            "byte 8 4 instead of 3 (and 1 more)");
}

}  // namespace
}  // namespace sim::check
