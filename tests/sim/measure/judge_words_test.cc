// What a judged requirement says beside its value: name, place, counts, bounds (judge.h).
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim/measure/judge.h"
#include "tests/sim/measure/measure_rows.h"

namespace judge_words {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::RequirementResult;
using sim::measure::RowRecord;
using sim::scenario::BoundSense;
using sim::scenario::OnOff;
using sim::scenario::Requirement;
using sim::scenario::TemporalForm;

sim::scenario::Scenario scenario_of(const std::vector<Requirement>& requirements) {
  sim::scenario::Scenario scenario;
  scenario.row.width_m = 0.75;
  scenario.seeding.meter.spacing_m = kSpacing_m;
  scenario.rate.band_length_m = kBand_m;
  scenario.rate.in_band_m3pm2 = kDose_m3 / (0.75 * kBand_m);
  scenario.requirements = requirements;
  return scenario;
}

/// Seeds with a band of their own but for the last `missed`, and as many that were not sensed.
RequirementResult judged(const char* metric, int seeds, int missed, int unsensed) {
  RowRecord row;
  for (int k = 0; k < seeds; ++k) add_seed(row, kSpacing_m * k);
  for (int k = 0; k < seeds - missed; ++k) add_band_at(row, kSpacing_m * k);
  for (int k = 0; k < unsensed; ++k) add_seed(row, 100.0 + kSpacing_m * k, false);
  std::vector<RowRecord> rows{row};
  const Requirement one{metric, BoundSense::kAtLeast, 0.5, {}, "field.toml:12"};
  return sim::measure::summarize(rows, scenario_of({one}), 1.0).requirements.at(0);
}

TEST(JudgeWords, AResultSaysWhatIsRequiredAndWhereItStands) {
  const RequirementResult result = judged("within_10mm_sensed", 3, 1, 0);
  EXPECT_EQ(result.name, "within_10mm_sensed at least");
  EXPECT_EQ(result.place, "field.toml:12");
}

TEST(JudgeWords, AShareOfASingleSeedHasCounts) {
  const RequirementResult result = judged("within_10mm_sensed", 1, 0, 0);
  EXPECT_EQ(result.good, 1);
  EXPECT_EQ(result.total, 1);
}

// E. B. Wilson, J. Am. Stat. Assoc. 22, 1927, with z = 1.644854 from a normal table (95 % to one
// side).
double wilson_lower_ratio(double good, double total) {  // tidy: unit is seeds
  const double z2 = 1.644854 * 1.644854, p_ratio = good / total;
  const double root_ratio =
      std::sqrt(p_ratio * (1.0 - p_ratio) / total + z2 / (4.0 * total * total));
  return (p_ratio + z2 / (2.0 * total) - 1.644854 * root_ratio) / (1.0 + z2 / total);
}

// 20 of 24 sensed seeds, and of 32 placed.
TEST(JudgeWords, TheBoundOfAShareIsThatOfItsOwnCounts) {
  const RequirementResult sensed = judged("within_10mm_sensed", 24, 4, 8);
  const RequirementResult placed = judged("within_10mm_placed", 24, 4, 8);
  EXPECT_NEAR(sensed.lower95_ratio, wilson_lower_ratio(20, 24), 1e-6);
  EXPECT_NEAR(placed.lower95_ratio, wilson_lower_ratio(20, 32), 1e-6);
}

TEST(JudgeWords, WhatIsNoShareOfSeedsHasNeitherCountsNorBound) {
  for (const char* metric : {"within_10mm_sensed_lower95", "placed"}) {
    const RequirementResult result = judged(metric, 24, 4, 8);
    EXPECT_EQ(result.good, -1) << metric;
    EXPECT_EQ(result.total, -1) << metric;
    EXPECT_TRUE(std::isnan(result.lower95_ratio)) << metric;
  }
}

RowRecord row_until(double until_s) {
  RowRecord row;
  row.signals.kept = true;
  row.signals.until_s = until_s;
  return row;
}

// Open from 5 to 5.5 s while lifted from 4 to 6 s: half a second of what must never be.
TEST(JudgeWords, AViolatedRuleOverTimeDoesNotHold) {
  RowRecord row = row_until(8.0);
  note_on(row.signals, OnOff::kLifted, 4.0, 6.0);
  note_on(row.signals, OnOff::kOpen, 5.0, 5.5);
  Requirement never{"never open while lifted"};
  never.place = "field.toml:7";
  never.rule = {.form = TemporalForm::kNever, .signal = "open", .during = "lifted"};
  const RequirementResult result = judged_in_time(never, std::span(&row, 1));
  EXPECT_TRUE(result.seen);
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.value, 0.5);
  EXPECT_EQ(result.limit, 0.0);
  EXPECT_EQ(result.name, "never open while lifted");
  EXPECT_EQ(result.place, "field.toml:7");
}

// What could not be judged still says what it was asked to be: a pressure, or a single seed.
TEST(JudgeWords, WithoutAnythingToJudgeTheLimitIsWhatWasAskedFor) {
  const RowRecord row = row_until(8.0);
  Requirement always{"supply pressure", BoundSense::kAtMost, 2.5};
  always.rule = {.form = TemporalForm::kAlways, .signal = "supply pressure", .during = "open"};
  EXPECT_EQ(judged_in_time(always, std::span(&row, 1)).limit, 2.5);
  Requirement alarm{"alarm"};
  alarm.rule = {.form = TemporalForm::kEventually, .signal = "alarm", .when = "speed lost"};
  alarm.rule.within_seeds = 1;
  EXPECT_EQ(judged_in_time(alarm, std::span(&row, 1)).limit, 1.0);
}

// Half a metre of a row of 0.75 m: 0.375 m2.
TEST(JudgeWords, AShortWayHasAFieldRate) {
  RowRecord row;
  row.travelled_m = 0.5;
  row.worked_volume_m3 = 3e-6;
  sim::measure::Figures figures;
  sim::measure::add_volumes(std::span(&row, 1), scenario_of({}), figures);
  EXPECT_DOUBLE_EQ(figures.field_rate_m3pm2, 8e-6);
}

}  // namespace
}  // namespace judge_words
