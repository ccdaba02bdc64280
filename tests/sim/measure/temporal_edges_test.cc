// Requirements over time at the ends of intervals and where there are several: all instants are
// sums of powers of two, so that what ends at one instant ends there exactly.
#include <gtest/gtest.h>

#include <stdexcept>

#include "sim/measure/temporal.h"

namespace sim::measure {
namespace {

using Rows = std::vector<RowRecord>;
using scenario::OnOff;
using scenario::TemporalForm;

RowRecord record_until(double until_s) {
  RowRecord row;
  row.signals.kept = true;
  row.signals.until_s = until_s;
  return row;
}

void put(RowRecord& row, OnOff signal, double from_s, double to_s) {
  note_on(row.signals, signal, from_s, to_s);
}

scenario::Requirement rule(TemporalForm form, const char* signal) {
  scenario::Requirement requirement;
  requirement.rule.form = form;
  requirement.rule.signal = signal;
  return requirement;
}

TEST(TemporalEdges, StepsThatFollowEachOtherAreOneInterval) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kOpen, 1.0, 2.0);
  put(row, OnOff::kOpen, 2.0, 3.0);
  ASSERT_EQ(row.signals.of(OnOff::kOpen).size(), 1u);
  EXPECT_EQ(row.signals.of(OnOff::kOpen)[0].to_s, 3.0);
  put(row, OnOff::kOpen, 3.5, 4.0);
  EXPECT_EQ(row.signals.of(OnOff::kOpen).size(), 2u);
  // Two instants at one place stay two, and an earlier stretch does not shorten the last one.
  put(row, OnOff::kEdge, 1.0, 1.0);
  put(row, OnOff::kEdge, 1.0, 1.0);
  EXPECT_EQ(row.signals.of(OnOff::kEdge).size(), 2u);
  put(row, OnOff::kOpen, 3.5, 3.75);
  EXPECT_EQ(row.signals.of(OnOff::kOpen)[1].to_s, 4.0);
}

// What ends in the very instant in which the forbidden stretch begins touches it.
TEST(TemporalEdges, TouchingAForbiddenStretchIsNoDistance) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kLifted, 4.0, 6.0);
  put(row, OnOff::kOpen, 3.0, 4.0);
  scenario::Requirement never = rule(TemporalForm::kNever, "open");
  never.rule.during = "lifted";
  const TemporalResult result = judge_in_time(never, Rows{row});
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.margin_si, 0.0);
}

TEST(TemporalEdges, OfSeveralOverlapsTheLongestCounts) {
  for (const bool longest_first : {true, false}) {
    RowRecord row = record_until(16.0);
    put(row, OnOff::kLifted, 4.0, 12.0);
    put(row, OnOff::kOpen, 5.0, longest_first ? 7.0 : 6.0);
    put(row, OnOff::kOpen, 8.0, longest_first ? 9.0 : 10.0);
    scenario::Requirement never = rule(TemporalForm::kNever, "open");
    never.rule.during = "lifted";
    const TemporalResult result = judge_in_time(never, Rows{row});
    EXPECT_EQ(result.value_si, 2.0);
    EXPECT_EQ(result.at_s, longest_first ? 5.0 : 8.0);
  }
}

// A grace as long as the stretch leaves its last instant, a longer one leaves nothing.
TEST(TemporalEdges, AGraceLongerThanTheStretchLeavesNothingToJudge) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kLifted, 4.0, 4.5);
  put(row, OnOff::kOpen, 4.25, 5.0);
  scenario::Requirement never = rule(TemporalForm::kNever, "open");
  never.rule.during = "lifted";
  never.rule.grace_s = 0.5;
  EXPECT_FALSE(judge_in_time(never, Rows{row}).holds);
  never.rule.grace_s = 0.75;
  EXPECT_FALSE(judge_in_time(never, Rows{row}).fired);
}

TEST(TemporalEdges, NeverWithoutAStretchForbidsTheWholePass) {
  RowRecord row = record_until(8.0);
  scenario::Requirement never = rule(TemporalForm::kNever, "open");
  TemporalResult result = judge_in_time(never, Rows{row});
  EXPECT_TRUE(result.fired && result.holds);
  EXPECT_EQ(result.margin_si, 8.0);
  put(row, OnOff::kOpen, 2.0, 3.0);
  result = judge_in_time(never, Rows{row});
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value_si, 1.0);
}

// An answer in the instant of the rise, and one in the last instant of the pass, are answers.
TEST(TemporalEdges, AnAnswerMayComeAtOnceOrAtTheVeryEnd) {
  scenario::Requirement alarm = rule(TemporalForm::kEventually, "alarm");
  alarm.rule.when = "speed lost";
  alarm.rule.within_s = 4.0;
  RowRecord at_once = record_until(8.0);
  put(at_once, OnOff::kSpeedLost, 2.0, 3.0);
  put(at_once, OnOff::kAlarm, 1.0, 2.0);
  EXPECT_EQ(judge_in_time(alarm, Rows{at_once}).value_si, 0.0);
  RowRecord at_the_end = record_until(8.0);
  put(at_the_end, OnOff::kSpeedLost, 5.0, 6.0);
  put(at_the_end, OnOff::kAlarm, 8.0, 8.0);
  EXPECT_TRUE(judge_in_time(alarm, Rows{at_the_end}).holds);
  EXPECT_EQ(judge_in_time(alarm, Rows{at_the_end}).margin_si, 1.0);
}

// The time allowed ends with the pass: an answer that has not come by then is late.
TEST(TemporalEdges, NoAnswerByTheEndIsLateWhereTheTimeWasUp) {
  scenario::Requirement alarm = rule(TemporalForm::kEventually, "alarm");
  alarm.rule.when = "speed lost";
  alarm.rule.within_s = 4.0;
  RowRecord row = record_until(8.0);
  put(row, OnOff::kSpeedLost, 4.0, 5.0);
  const TemporalResult result = judge_in_time(alarm, Rows{row});
  EXPECT_TRUE(result.fired);
  EXPECT_FALSE(result.holds);
}

// Counted in seeds: too few seeds before the end of the pass judge nothing, one more does.
TEST(TemporalEdges, TooFewSeedsBeforeTheEndJudgeNothing) {
  scenario::Requirement alarm = rule(TemporalForm::kEventually, "alarm");
  alarm.rule.when = "speed lost";
  alarm.rule.within_seeds = 3;
  RowRecord row = record_until(8.0);
  put(row, OnOff::kSpeedLost, 4.0, 8.0);
  put(row, OnOff::kEdge, 4.0, 4.0);  // in the instant of the rise: before it
  for (const double edge_s : {5.0, 6.0, 7.0}) put(row, OnOff::kEdge, edge_s, edge_s);
  EXPECT_FALSE(judge_in_time(alarm, Rows{row}).fired);
  put(row, OnOff::kEdge, 8.0, 8.0);
  const TemporalResult result = judge_in_time(alarm, Rows{row});
  EXPECT_TRUE(result.fired);
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value_si, 4.0);
}

TEST(TemporalEdges, AHoldEndsWithTheFirstEndBehindItsRise) {
  scenario::Requirement open = rule(TemporalForm::kHold, "open");
  open.rule.when = "lifted";
  open.rule.until = "edge";
  RowRecord row = record_until(16.0);
  put(row, OnOff::kLifted, 4.0, 5.0);
  for (const double edge_s : {2.0, 8.0, 12.0}) put(row, OnOff::kEdge, edge_s, edge_s);
  put(row, OnOff::kOpen, 3.0, 9.0);
  TemporalResult result = judge_in_time(open, Rows{row});
  EXPECT_TRUE(result.holds);
  EXPECT_EQ(result.margin_si, 1.0);  // open until 9, the edge at 8
  row.signals.on[static_cast<std::size_t>(OnOff::kOpen)] = {{3.0, 7.0}, {7.5, 16.0}};
  result = judge_in_time(open, Rows{row});
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value_si, 1.0);  // broken at 7
  EXPECT_EQ(result.at_s, 7.0);
  // An end in the instant of the rise ends it at once.
  put(row, OnOff::kEdge, 4.0, 4.0);
  row.signals.on[static_cast<std::size_t>(OnOff::kEdge)] = {{4.0, 4.0}};
  EXPECT_EQ(judge_in_time(open, Rows{row}).margin_si, 3.0);
}

TEST(TemporalEdges, AlwaysAtMostTakesTheLargest) {
  RowRecord row = record_until(0.0);
  note_step(row.signals, {.from_s = 0.0, .to_s = 1.0, .gates = {}, .reals_si = {1.0}});
  note_step(row.signals, {.from_s = 1.0, .to_s = 2.0, .gates = {}, .reals_si = {3.0}});
  note_step(row.signals, {.from_s = 2.0, .to_s = 4.0, .gates = {}, .reals_si = {2.0}});
  scenario::Requirement pressure = rule(TemporalForm::kAlways, "supply pressure");
  pressure.sense = scenario::BoundSense::kAtMost;
  pressure.bound = 2.5;
  const TemporalResult result = judge_in_time(pressure, Rows{row});
  EXPECT_EQ(result.value_si, 3.0);
  EXPECT_EQ(result.margin_si, -0.5);
  EXPECT_EQ(result.at_s, 1.0);
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(row.signals.until_s, 4.0);
  pressure.rule.during = "commanded";
  EXPECT_FALSE(judge_in_time(pressure, Rows{row}).fired) << "the gate was never on";
}

// A signal that is on from the first instant to the last is never off, not for an instant.
TEST(TemporalEdges, WhatIsAlwaysOnIsNeverOff) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kOpen, 0.0, 8.0);
  scenario::Requirement never = rule(TemporalForm::kNever, "open");
  never.rule.negated = true;
  const TemporalResult result = judge_in_time(never, Rows{row});
  EXPECT_TRUE(result.fired && result.holds);
  EXPECT_EQ(result.margin_si, 8.0);
}

TEST(TemporalEdges, TheWholePassBeginsAtItsFirstInstant) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kOpen, 0.25, 0.75);
  const TemporalResult result = judge_in_time(rule(TemporalForm::kNever, "open"), Rows{row});
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value_si, 0.5);
  EXPECT_EQ(result.limit_si, 0.0);
}

// Lifted from 4 to 6 with 2 s of grace: the last instant is left, and an open valve touches it.
TEST(TemporalEdges, AGraceOfTheWholeStretchLeavesItsLastInstant) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kLifted, 4.0, 6.0);
  put(row, OnOff::kOpen, 5.5, 7.0);
  scenario::Requirement never = rule(TemporalForm::kNever, "open");
  never.rule.during = "lifted";
  never.rule.grace_s = 2.0;
  EXPECT_TRUE(judge_in_time(never, Rows{row}).fired);
  EXPECT_FALSE(judge_in_time(never, Rows{row}).holds);
}

TEST(TemporalEdges, OneSeedMayBeAllThatIsAllowed) {
  scenario::Requirement alarm = rule(TemporalForm::kEventually, "alarm");
  alarm.rule.when = "speed lost";
  alarm.rule.within_seeds = 1;
  RowRecord row = record_until(8.0);
  put(row, OnOff::kSpeedLost, 4.0, 8.0);
  for (const double edge_s : {5.0, 6.0}) put(row, OnOff::kEdge, edge_s, edge_s);
  put(row, OnOff::kAlarm, 5.5, 8.0);
  TemporalResult result = judge_in_time(alarm, Rows{row});
  EXPECT_TRUE(result.holds);
  EXPECT_EQ(result.value_si, 1.0);
  EXPECT_EQ(result.limit_si, 1.0);
  row.signals.on[static_cast<std::size_t>(OnOff::kAlarm)] = {{6.5, 8.0}};
  EXPECT_FALSE(judge_in_time(alarm, Rows{row}).holds);
}

// The signal comes on in the very instant of the rise, goes off at 5 and again at 7: it was broken
// at 5, three seconds before the pass ends. Held until the edge at 4 it has a second to spare.
TEST(TemporalEdges, AHoldIsBrokenWhereItFirstGoesOff) {
  scenario::Requirement open = rule(TemporalForm::kHold, "open");
  open.rule.when = "lifted";
  open.rule.until = "edge";
  RowRecord row = record_until(8.0);
  put(row, OnOff::kLifted, 2.0, 3.0);
  put(row, OnOff::kOpen, 2.0, 5.0);
  put(row, OnOff::kOpen, 6.0, 7.0);
  TemporalResult result = judge_in_time(open, Rows{row});
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value_si, 3.0);
  EXPECT_EQ(result.at_s, 5.0);
  put(row, OnOff::kEdge, 4.0, 4.0);
  result = judge_in_time(open, Rows{row});
  EXPECT_TRUE(result.holds);
  EXPECT_EQ(result.margin_si, 1.0);
  EXPECT_EQ(result.value_si, 0.0);
  EXPECT_EQ(result.at_s, 4.0);
}

TEST(TemporalEdges, RowsWhoseSignalsWereNotKeptAreLeftOut) {
  RowRecord row = record_until(8.0);
  put(row, OnOff::kOpen, 2.0, 3.0);
  row.signals.kept = false;
  EXPECT_FALSE(judge_in_time(rule(TemporalForm::kNever, "open"), Rows{row}).fired);
}

TEST(TemporalEdges, ASignalThatDoesNotExistIsRefused) {
  const Rows rows{record_until(8.0)};
  EXPECT_THROW(judge_in_time(rule(TemporalForm::kNever, "luck"), rows), std::invalid_argument);
  EXPECT_THROW(judge_in_time(rule(TemporalForm::kAlways, "luck"), rows), std::invalid_argument);
}

}  // namespace
}  // namespace sim::measure
