// Two builds on the same seeds: they are the same to the byte, or the test finds where they part
// and what that moves.
#include "sim/study/check/compare_builds.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "sim/scenario/loader.h"
#include "sim/study/check/call_members.h"
#include "sim/study/check/comparison_text.h"
#include "tests/support/run_program.h"

namespace sim::check {
namespace {

std::string faulty(const std::string& name) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + name + ".so";
}

scenario::Scenario short_row(const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets = {"duration=4 s", "row.count=2"};
  sets.insert(sets.end(), more.begin(), more.end());
  return scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/pull_request_still.toml", sets);
}

Comparison compared(const scenario::Scenario& before, const scenario::Scenario& after, int runs) {
  return compare_builds(before, after, {.runs = runs, .margins_si = margins_of_si(Suite{})});
}

TEST(CompareBuilds, ABuildAgainstItselfIsTheSameBytes) {
  const Comparison comparison = compared(short_row(), short_row(), 3);
  EXPECT_TRUE(comparison.same_bytes);
  EXPECT_TRUE(comparison.shifts.empty());
  EXPECT_EQ(comparison_text(comparison, output::Units::kMetric),
            "same bytes: every call of both builds is the same in 3 runs\n");
}

// The delay is 500 us longer: rows part at their first firing, by 500 ticks of 1 us; at 16 km/h
// that is 2.22 mm.
TEST(CompareBuilds, ALongerDelayIsFoundAtItsFirstCommandAndInTheBias) {
  scenario::Scenario late = short_row();
  late.controller.library = faulty("late");
  const Comparison comparison = compared(short_row(), late, 3);
  ASSERT_FALSE(comparison.same_bytes);
  const Parting& parting = comparison.parting;
  EXPECT_EQ(parting.run, 0);
  EXPECT_GE(parting.row, 0);
  EXPECT_TRUE(parting.same_input);
  EXPECT_LT(parting.equal_until_s, parting.at_s);
  ASSERT_EQ(parting.differences.size(), 2u);
  for (const CallDifference& one : parting.differences)
    EXPECT_EQ(one.new_value - one.old_value, 500) << one.member;
  EXPECT_EQ(parting.differences[0].member, "out.compares[0].at_ticks");
  const MetricShift& bias = comparison.shifts[2];
  ASSERT_EQ(bias.metric, "placement_error_mean");
  EXPECT_NEAR(bias.mean_si, 16.0 / 3.6 * 0.5e-3, 0.02e-3);
  EXPECT_EQ(bias.verdict, ShiftVerdict::kShifted);
  const auto json = nlohmann::json::parse(comparison_json(comparison));
  EXPECT_EQ(json["parting"]["row"], parting.row);
  EXPECT_EQ(json["shifts"][2]["verdict"], "shifted");
}

// A mistake that shows only when the speed changes is no difference at steady speed, and one on a
// ramp.
TEST(CompareBuilds, AWrongSignShowsOnlyWhereTheSpeedChanges) {
  scenario::Scenario steady = short_row();
  steady.controller.library = faulty("wrong_sign");
  EXPECT_TRUE(compared(short_row(), steady, 2).same_bytes);
  const std::vector<std::string> ramp = {
      "travel.profile=[{time=\"0 s\", speed=\"8 km/h\"}, {time=\"4 s\", speed=\"16 km/h\"}]"};
  scenario::Scenario changing = short_row(ramp);
  changing.controller.library = faulty("wrong_sign");
  const Comparison comparison = compared(short_row(ramp), changing, 2);
  ASSERT_FALSE(comparison.same_bytes);
  EXPECT_EQ(comparison.parting.row, -1);  // the machine's controller sends its rows the speed
}

TEST(CallMembers, NameWhatTheInterfaceHas) {
  sillion_output output{};
  output.compare_count = 1;
  output.compares[0] = {.at_ticks = 7, .channel = 1, .armed = 1, .reserved = 0, .then = {1, 2, 3}};
  const CallMembers members = members_of(output);
  const auto value = [&](const std::string& name) {
    for (const auto& [member, number] : members)
      if (member == name) return number;
    return -1LL;
  };
  EXPECT_EQ(value("compares[0].at_ticks"), 7);
  EXPECT_EQ(value("compares[0].then.current_ma"), 3);
  EXPECT_EQ(value("compares[1].at_ticks"), -1);
  EXPECT_EQ(value("health.resets"), 0);
}

TEST(CompareCommand, EndsAsItsVerdictSays) {
  const support::ScratchFolder scratch;
  const auto compare = [&](const std::vector<std::string>& more) {
    std::vector<std::string> words = {"compare",
                                      "scenarios/pull_request_still.toml",
                                      "--quiet",
                                      "--runs",
                                      "2",
                                      "--set",
                                      "duration=4 s",
                                      "--set",
                                      "row.count=1",
                                      "--out",
                                      scratch.path().string()};
    words.insert(words.end(), more.begin(), more.end());
    return support::sillion(words);
  };
  EXPECT_EQ(compare({}).code, 0);
  const support::Ended shifted = compare({"--controller", faulty("late")});
  EXPECT_EQ(shifted.code, 1);
  EXPECT_NE(shifted.out.find("placement_error_mean shifts by +2.2 mm (allowed 0.3 mm)"),
            std::string::npos)
      << shifted.out;
  EXPECT_EQ(support::text_of(scratch.path() / "comparison.txt"), shifted.out);
  EXPECT_EQ(
      compare({"--controller", faulty("late"), "--margin", "placement_error_mean=3 mm", "--margin",
               "placement_error_abs_p95=3 mm", "--margin", "gap_ratio=10 %", "--strict"})
          .code,
      6);
  EXPECT_EQ(compare({"--margin", "gap_rato=1 %"}).code, 2);
  EXPECT_EQ(compare({"--controller", "no/such.so"}).code, 2);
  EXPECT_EQ(compare({"--controller", faulty("no_number")}).code, 4);
}

}  // namespace
}  // namespace sim::check
