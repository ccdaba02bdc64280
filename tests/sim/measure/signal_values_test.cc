// Limits, values and instants that rules over time state beside whether they hold (temporal.h), and
// what the signals keep of values and intervals that are equal (row_signals.h).
#include <gtest/gtest.h>

#include <vector>

#include "sim/measure/temporal.h"

namespace signal_values {
namespace {

using sim::measure::judge_in_time;
using sim::measure::RowRecord;
using sim::measure::TemporalResult;
using sim::scenario::BoundSense;
using sim::scenario::OnOff;
using sim::scenario::Requirement;
using sim::scenario::TemporalForm;

RowRecord until_eight() {
  RowRecord row;
  row.signals.kept = true;
  row.signals.until_s = 8.0;
  return row;
}

TemporalResult judged(const sim::scenario::TemporalRule& rule, const RowRecord& row) {
  Requirement requirement;
  requirement.rule = rule;
  return judge_in_time(requirement, std::span(&row, 1));
}

TEST(SignalValues, OfARowWhoseSignalsNobodyKeptNothingIsJudged) {
  EXPECT_FALSE(judged({.form = TemporalForm::kNever, .signal = "open"}, RowRecord{}).fired);
}

// Not open from the start to 1.5 s, open from then on.
TEST(SignalValues, ASignalIsOffFromTheVeryStart) {
  RowRecord row = until_eight();
  note_on(row.signals, OnOff::kOpen, 1.5, 8.0);
  const TemporalResult never =
      judged({.form = TemporalForm::kNever, .signal = "open", .negated = true}, row);
  EXPECT_FALSE(never.holds);
  EXPECT_EQ(never.value_si, 1.5);
  EXPECT_EQ(never.at_s, 0.0);
}

// Without `when` the answer is counted from the start of the pass.
TEST(SignalValues, WithoutARiseTheTimeRunsFromTheStart) {
  RowRecord row = until_eight();
  note_on(row.signals, OnOff::kOpen, 1.5, 8.0);
  const TemporalResult result =
      judged({.form = TemporalForm::kEventually, .signal = "open", .within_s = 2.0}, row);
  EXPECT_EQ(result.value_si, 1.5);
  EXPECT_EQ(result.margin_si, 0.5);
}

// What never came by the end of the pass was waited for until then: from 3 to 8 s.
TEST(SignalValues, WhatNeverCameWasWaitedForUntilTheEnd) {
  RowRecord row = until_eight();
  note_on(row.signals, OnOff::kSpeedLost, 3.0, 8.0);
  const TemporalResult result = judged(
      {.form = TemporalForm::kEventually, .signal = "alarm", .when = "speed lost", .within_s = 4.0},
      row);
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value_si, 5.0);
  EXPECT_EQ(result.margin_si, -1.0);
}

// Of `never` and `hold` neither a limit nor, where they hold, a value is known: both are 0.
TEST(SignalValues, WhatHoldsHasTheValueZero) {
  RowRecord row = until_eight();
  const sim::scenario::TemporalRule never = {.form = TemporalForm::kNever, .signal = "open"};
  const auto expect_zero = [](const TemporalResult& result, double margin_s) {
    EXPECT_TRUE(result.fired && result.holds);
    EXPECT_EQ(result.limit_si, 0.0);
    EXPECT_EQ(result.value_si, 0.0);
    EXPECT_EQ(result.margin_si, margin_s);
  };
  expect_zero(judged(never, row), 8.0);
  note_on(row.signals, OnOff::kLifted, 4.0, 6.0);
  note_on(row.signals, OnOff::kOpen, 1.0, 2.0);
  sim::scenario::TemporalRule lifted = never;
  lifted.during = "lifted";
  expect_zero(judged(lifted, row), 2.0);
  RowRecord held = until_eight();  // lifted at 4 s, open until 6.5 s, and the edge came at 6 s
  note_on(held.signals, OnOff::kLifted, 4.0, 8.0);
  note_on(held.signals, OnOff::kOpen, 3.0, 6.5);
  note_on(held.signals, OnOff::kEdge, 6.0, 6.0);
  expect_zero(
      judged({.form = TemporalForm::kHold, .signal = "open", .when = "lifted", .until = "edge"},
             held),
      0.5);
}

// The second row was open all the time, but only the first is asked about.
TEST(SignalValues, OnlyTheRowsThatAreGivenAreJudged) {
  std::vector<RowRecord> rows{until_eight(), until_eight()};
  note_on(rows[1].signals, OnOff::kOpen, 0.0, 8.0);
  Requirement never;
  never.rule = {.form = TemporalForm::kNever, .signal = "open"};
  EXPECT_TRUE(judge_in_time(never, std::span(rows).first(1)).holds);
  EXPECT_FALSE(judge_in_time(never, rows).holds);
  EXPECT_EQ(judge_in_time(never, rows).row, 1);
}

// Open twice for a second of what must never be: of equals the first is shown.
TEST(SignalValues, OfOverlapsAsLongTheFirstIsShown) {
  RowRecord row = until_eight();
  note_on(row.signals, OnOff::kOpen, 1.0, 2.0);
  note_on(row.signals, OnOff::kOpen, 5.0, 6.0);
  EXPECT_EQ(judged({.form = TemporalForm::kNever, .signal = "open"}, row).at_s, 1.0);
}

/// One second after the other with this supply pressure, the valve open in the second and third.
RowRecord row_of(const std::vector<double>& pressures_pa) {
  RowRecord row;
  row.signals.kept = true;
  for (std::size_t k = 0; k < pressures_pa.size(); ++k) {
    const auto from_s = static_cast<double>(k);
    const bool open = k == 1 || k == 2;
    note_step(row.signals, {.from_s = from_s,
                            .to_s = from_s + 1.0,
                            .gates = {false, open, false, k == 3},
                            .reals_si = {pressures_pa[k]}});
  }
  return row;
}

TemporalResult pressure(const char* during, BoundSense sense, const RowRecord& row) {
  Requirement requirement{"supply pressure", sense, 2.5};
  requirement.rule = {.form = TemporalForm::kAlways, .signal = "supply pressure", .during = during};
  return judge_in_time(requirement, std::span(&row, 1));
}

TEST(SignalValues, EveryGateHasExtremesOfItsOwn) {
  const RowRecord row = row_of({1.0, 2.0, 3.0, 4.0});
  EXPECT_EQ(pressure("", BoundSense::kAtMost, row).value_si, 4.0);
  EXPECT_EQ(pressure("", BoundSense::kAtLeast, row).value_si, 1.0);
  EXPECT_EQ(pressure("open", BoundSense::kAtMost, row).value_si, 3.0);
  EXPECT_EQ(pressure("open", BoundSense::kAtLeast, row).value_si, 2.0);
  EXPECT_EQ(pressure("lifted", BoundSense::kAtLeast, row).value_si, 4.0);
  EXPECT_FALSE(pressure("flowing", BoundSense::kAtMost, row).fired) << "it never was";
}

// A signal that never changes has one value, which is least and largest from its first instant on.
TEST(SignalValues, OfEqualExtremesTheFirstInstantIsKept) {
  const RowRecord row = row_of({3.0, 3.0, 3.0, 3.0});
  for (const BoundSense sense : {BoundSense::kAtMost, BoundSense::kAtLeast}) {
    EXPECT_TRUE(pressure("", sense, row).fired);
    EXPECT_EQ(pressure("", sense, row).value_si, 3.0);
    EXPECT_EQ(pressure("", sense, row).at_s, 0.0);
    EXPECT_EQ(pressure("open", sense, row).at_s, 1.0);
  }
}

TEST(SignalValues, AStretchThatEndsWithTheLastOneIsPartOfIt) {
  RowRecord row = until_eight();
  note_on(row.signals, OnOff::kOpen, 1.0, 3.0);
  note_on(row.signals, OnOff::kOpen, 2.0, 3.0);
  ASSERT_EQ(row.signals.of(OnOff::kOpen).size(), 1u);
  EXPECT_EQ(row.signals.of(OnOff::kOpen)[0].from_s, 1.0);
}

}  // namespace
}  // namespace signal_values
