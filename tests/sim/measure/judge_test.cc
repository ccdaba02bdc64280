// What a verdict is made of: counts, sums over rows, and requirements with nothing to judge by.
#include "sim/measure/judge.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/scenario/temporal_rule.h"
#include "tests/sim/measure/measure_rows.h"

namespace sim::measure {
namespace {

scenario::Scenario scenario_with(const std::vector<scenario::Requirement>& requirements) {
  scenario::Scenario scenario;
  scenario.row.width_m = 0.75;
  scenario.seeding.meter.spacing_m = measure_rows::kSpacing_m;
  scenario.rate.band_length_m = measure_rows::kBand_m;
  scenario.rate.in_band_m3pm2 = measure_rows::kDose_m3 / (0.75 * measure_rows::kBand_m);
  scenario.requirements = requirements;
  return scenario;
}

/// 50 seeds, of which the first `near` have a band 5 mm off, the next ten one 20 mm off, the next
/// ten one 35 mm off; the others have none.
RowRecord row_with(int near) {
  RowRecord row;
  for (int k = 0; k < 50; ++k) measure_rows::add_seed(row, 0.16 * k);
  for (int k = 0; k < near + 20; ++k)
    measure_rows::add_band_at(row, 0.16 * k + (k < near ? 0.005 : (k < near + 10 ? 0.020 : 0.035)));
  return row;
}

// Rows differ, so the bound by rows lies below that of the pool, and each tolerance has its own.
TEST(Judge, ASharesLowerBoundIsThatOfItsTolerance) {
  constexpr auto kAtLeast = scenario::BoundSense::kAtLeast;
  std::vector<RowRecord> rows{row_with(30), row_with(10), row_with(5)};
  const Summary summary = summarize(rows,
                                    scenario_with({{"within_10mm_sensed", kAtLeast, 0.9},
                                                   {"within_25mm_sensed", kAtLeast, 0.9},
                                                   {"within_half_band_sensed", kAtLeast, 0.9}}),
                                    1.0);
  const long long good[] = {45, 75, 105};
  for (std::size_t k = 0; k < 3; ++k) {
    EXPECT_EQ(summary.requirements[k].good, good[k]);
    EXPECT_EQ(summary.requirements[k].total, 150);
    EXPECT_EQ(summary.requirements[k].lower95_ratio, summary.all.within[k].lower95_ratio);
    EXPECT_LT(summary.requirements[k].lower95_ratio, summary.requirements[k].value - 0.05);
  }
  EXPECT_LT(summary.all.within[0].lower95_ratio, summary.all.within[1].lower95_ratio);
  EXPECT_LT(summary.all.within[1].lower95_ratio, summary.all.within[2].lower95_ratio);
  EXPECT_EQ(summary.requirements[0].worst.row, 1) << "the first one with a seed without a band";
  EXPECT_EQ(summary.requirements[0].worst.seed, 30);
}

scenario::Requirement never_open_while_lifted() {
  scenario::Requirement never;
  never.metric = "never open";
  never.rule.form = scenario::TemporalForm::kNever;
  never.rule.signal = "open";
  never.rule.during = "lifted";
  return never;
}

TEST(Judge, NothingToJudgeByHoldsNothingAndIsSaid) {
  RowRecord row;
  row.signals.kept = true;
  row.signals.until_s = 8.0;
  scenario::Requirement alarm;
  alarm.metric = "alarm";
  alarm.rule.form = scenario::TemporalForm::kEventually;
  alarm.rule.signal = "alarm";
  alarm.rule.when = "speed lost";
  alarm.rule.within_s = 3.0;
  RequirementResult result = judged_in_time(alarm, std::span(&row, 1));
  EXPECT_FALSE(result.seen);
  EXPECT_FALSE(result.holds);
  EXPECT_EQ(result.limit, 3.0);
  EXPECT_EQ(result.unit, "s");
  EXPECT_EQ(result.worst.row, -1);
  alarm.rule.within_s = 0.0;
  alarm.rule.within_seeds = 4;
  EXPECT_EQ(judged_in_time(alarm, std::span(&row, 1)).limit, 4.0);
  // With a rise of `when` there is something to judge.
  note_on(row.signals, scenario::OnOff::kSpeedLost, 2.0, 3.0);
  note_on(row.signals, scenario::OnOff::kAlarm, 2.5, 3.0);
  result = judged_in_time(alarm, std::span(&row, 1));
  EXPECT_TRUE(result.seen);
  EXPECT_TRUE(result.holds);
  EXPECT_EQ(result.worst.row, 0);
}

TEST(Judge, OneUnseenRequirementLeavesNoVerdictWhereverItStands) {
  RequirementResult seen, unseen, violated;
  seen.holds = true;
  unseen.seen = false;
  violated.holds = false;
  const auto verdict = [](std::vector<RequirementResult> results) {
    Summary summary;
    summary.requirements = std::move(results);
    return verdict_of(summary);
  };
  EXPECT_EQ(verdict({seen, seen}), Verdict::kHold);
  EXPECT_EQ(verdict({unseen, seen}), Verdict::kNoData);
  EXPECT_EQ(verdict({seen, unseen}), Verdict::kNoData);
  EXPECT_EQ(verdict({unseen, violated}), Verdict::kFail);
  EXPECT_EQ(verdict({}), Verdict::kNone);
}

TEST(Judge, ASeedCountsInItsStatusAlone) {
  const auto counted = [](SeedStatus status) {
    SeedCounts counts;
    SeedRecord seed;
    seed.status = status;
    count_seed(seed, counts);
    EXPECT_EQ(counts.placed, 1);
    EXPECT_EQ(counts.sensed, 0);
    EXPECT_EQ(counts.banded + counts.merged + counts.shared + counts.edge_missed + counts.no_band +
                  counts.weak,
              1);
    return counts;
  };
  EXPECT_EQ(counted(SeedStatus::kBanded).banded, 1);
  EXPECT_EQ(counted(SeedStatus::kMerged).merged, 1);
  EXPECT_EQ(counted(SeedStatus::kShared).shared, 1);
  EXPECT_EQ(counted(SeedStatus::kEdgeMissed).edge_missed, 1);
  EXPECT_EQ(counted(SeedStatus::kNoBand).no_band, 1);
  EXPECT_EQ(counted(SeedStatus::kWeak).weak, 1);
}

// Two rows: (2 + 4) ml mm over (1 + 2) ml is 2 mm; 1 of 3 ml outside; 2.4 ml over 20 m of 0.75 m.
TEST(Judge, VolumesAddUpOverRows) {
  RowRecord rows[2];
  rows[0].applied_volume_m3 = 1e-6, rows[1].applied_volume_m3 = 2e-6;
  rows[0].outward_sum_m4 = 2e-9, rows[1].outward_sum_m4 = 4e-9;
  rows[0].outward_max_m = 3e-3, rows[1].outward_max_m = 7e-3;
  rows[0].outside_volume_m3 = 0.25e-6, rows[1].outside_volume_m3 = 0.75e-6;
  rows[0].worked_volume_m3 = 0.8e-6, rows[1].worked_volume_m3 = 1.6e-6;
  rows[0].travelled_m = rows[1].travelled_m = 10.0;
  rows[0].inlet_volume_m3 = 1e-6, rows[0].balance_residual_m3 = -2e-12;
  rows[1].balance_residual_m3 = 1e-9;  // without any throughput there is no share
  Figures figures;
  add_volumes(rows, scenario_with({}), figures);
  EXPECT_DOUBLE_EQ(figures.applied_volume_m3, 3e-6);
  EXPECT_DOUBLE_EQ(figures.outward_mean_m, 2e-3);
  EXPECT_EQ(figures.outward_max_m, 7e-3);
  EXPECT_DOUBLE_EQ(figures.gap_ratio, 1.0 / 3.0);
  EXPECT_DOUBLE_EQ(figures.field_rate_m3pm2, 2.4e-6 / 15.0);
  EXPECT_DOUBLE_EQ(figures.balance_residual_ratio, 2e-6);
}

TEST(Judge, ARowBalancesUntilItIsSaidOtherwise) {
  RowRecord row;
  row.inlet_volume_m3 = 1e-6;
  Figures figures;
  add_volumes(std::span(&row, 1), scenario_with({}), figures);
  EXPECT_EQ(figures.balance_residual_ratio, 0.0);
}

TEST(Judge, WithoutLiquidOrWayThereIsNoShare) {
  RowRecord row;
  row.outward_sum_m4 = 1e-9;
  row.outside_volume_m3 = 1e-9;
  row.worked_volume_m3 = 1e-9;
  Figures figures;
  add_volumes(std::span(&row, 1), scenario_with({}), figures);
  EXPECT_EQ(figures.outward_mean_m, 0.0);
  EXPECT_TRUE(std::isnan(figures.gap_ratio));
  EXPECT_TRUE(std::isnan(figures.field_rate_m3pm2));
}

TEST(Judge, AnAlarmedRowIsNamed) {
  RowRecord rows[3];
  for (RowRecord& row : rows) {
    row.signals.kept = true;
    row.signals.until_s = 8.0;
    note_on(row.signals, scenario::OnOff::kLifted, 4.0, 6.0);
  }
  for (const int late : {1, 2}) note_on(rows[late].signals, scenario::OnOff::kOpen, 5.0, 5.5);
  const RequirementResult result = judged_in_time(never_open_while_lifted(), rows);
  EXPECT_EQ(result.worst.row, 1) << "of equals the first";
  EXPECT_EQ(result.margin, -0.5);
}

}  // namespace
}  // namespace sim::measure
