// What a sweep says of its cells, on invented results.
#include "sim/study/sweep/sweep_words.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/study/run/sentences.h"
#include "tests/support/example_result.h"

namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

sim::measure::RequirementResult requirement(const std::string& name, bool holds) {
  sim::measure::RequirementResult one;
  one.name = name;
  one.unit = "ratio";
  one.holds = holds;
  return one;
}

/// A cell with this share of sensed seeds within 10 mm, its dose in order or not.
sim::sweep::SweepCell cell(const std::string& speed, double share_ratio, bool dose_holds = true) {
  sim::sweep::SweepCell one;
  one.values = {speed};
  one.scenario.requirements.resize(2);
  one.summary.all.within[0] = {0.010, share_ratio, share_ratio, share_ratio};
  one.summary.requirements = {requirement("within_10mm_sensed at least", share_ratio >= 0.95),
                              requirement("dose_within_10_percent_sensed at least", dose_holds)};
  one.summary.verdict = dose_holds && share_ratio >= 0.95 ? sim::measure::Verdict::kHold
                                                          : sim::measure::Verdict::kFail;
  one.summary.break_even_scatter_m = share_ratio >= 0.95 ? (share_ratio - 0.95) * 0.1 : 0.0;
  one.break_even_scatter_m = one.summary.break_even_scatter_m;
  return one;
}

sim::sweep::SweepResult sweep_of(std::vector<sim::sweep::SweepCell> cells) {
  sim::sweep::SweepResult sweep;
  sweep.axes = {{"travel.speed", {}}};
  for (sim::sweep::SweepCell& one : cells) {
    sweep.axes[0].values.push_back(one.values[0]);
    sweep.cells.push_back(std::move(one));
  }
  return sweep;
}

TEST(SweepWords, TheWorstCellIsQuotedWhereverItStands) {
  const auto sweep = sweep_of({cell("8 km/h", 0.99), cell("12 km/h", 0.93), cell("16 km/h", 0.97)});
  EXPECT_THAT(sim::sweep::sweep_sentence(sweep, sim::output::Units::kMetric),
              StartsWith("93.0 % of sensed seeds within 10 mm in the worst of 3 cells (12 km/h); "
                         "every requirement holds in 2 of 3 cells; violated in 1 "
                         "(within_10mm_sensed in 1)"));
  EXPECT_THAT(sim::sweep::sweep_sentence(sweep, sim::output::Units::kUs), HasSubstr("(7.5 mph)"));
}

// A cell that reaches 95 % and misses its dose is violated, and the words say what it violates.
TEST(SweepWords, WhatIsViolatedIsNamed) {
  const auto sweep = sweep_of({cell("8 km/h", 0.99, false), cell("16 km/h", 0.90, false)});
  EXPECT_STREQ(sim::sweep::cell_word(sweep.cells[0]), "violated");
  EXPECT_EQ(sim::sweep::violated_names(sweep.cells[0]),
            (std::vector<std::string>{"dose_within_10_percent_sensed"}));
  EXPECT_EQ(sim::sweep::violated_in_short(sweep.cells[0]), "dose");
  EXPECT_EQ(sim::sweep::violated_in_short(sweep.cells[1]), "within, dose");
  EXPECT_THAT(sim::sweep::sweep_sentence(sweep, sim::output::Units::kMetric),
              HasSubstr("violated in 2 (dose_within_10_percent_sensed in 2, within_10mm_sensed in "
                        "1)"));
}

// 94.97 % misses a goal of 95 % and must not read as it.
TEST(SweepWords, AShareBelowTheGoalDoesNotReadAsTheGoal) {
  EXPECT_EQ(sim::run::goal_share(0.9497), "94.97 %");
  EXPECT_EQ(sim::run::goal_share(0.94996), "94.996 %");
  EXPECT_EQ(sim::run::goal_share(0.95), "95.0 %");
  EXPECT_EQ(sim::run::goal_share(0.9504), "95.04 %");
  EXPECT_EQ(sim::run::goal_share(0.981), "98.1 %");
}

TEST(SweepWords, CellsThatWereNotServedAreCounted) {
  auto sweep = sweep_of({cell("8 km/h", 0.99), cell("12 km/h", 0.5), cell("16 km/h", 0.2)});
  sweep.cells[1].servable = false;
  sweep.cells[2].fault = sim::sweep::CellFault::kController;
  const sim::sweep::CellCounts count = sim::sweep::count_cells(sweep.cells);
  EXPECT_EQ(count.hold, 1u);
  EXPECT_EQ(count.not_servable, 1u);
  EXPECT_EQ(count.unservable_required, 1u);
  EXPECT_EQ(count.failed, 1u);
  EXPECT_EQ(count.violated, 0u);
  const std::string words = sim::sweep::sweep_sentence(sweep, sim::output::Units::kMetric);
  EXPECT_THAT(words, StartsWith("99.0 %"));  // no figure of a cell that did not run
  EXPECT_THAT(words, HasSubstr("1 cannot be served"));
  EXPECT_THAT(words, HasSubstr("1 failed"));
}

TEST(SweepWords, WithoutRequirementsTheGoalIsCounted) {
  auto sweep = sweep_of({cell("8 km/h", 0.99), cell("12 km/h", 0.93)});
  for (sim::sweep::SweepCell& one : sweep.cells) {
    one.summary.requirements.clear();
    one.summary.verdict = sim::measure::Verdict::kNone;
  }
  EXPECT_THAT(sim::sweep::sweep_sentence(sweep, sim::output::Units::kMetric),
              HasSubstr("1 of 2 cells reach 95 %"));
}

// A single figure is shown as one, not as a range from itself to itself.
TEST(SweepWords, TheMarginIsARangeOnlyWhereItIsOne) {
  const auto one = sweep_of({cell("8 km/h", 0.98), cell("12 km/h", 0.93)});
  EXPECT_EQ(
      sim::sweep::sweep_margin_sentence(one, sim::output::Units::kMetric),
      "The goal, 95 % of sensed seeds within 10 mm, is reached in 1 of 2 cells, which tolerates "
      "3.0 mm (sd) of further scatter below the sensor.");
  const auto two = sweep_of({cell("8 km/h", 0.98), cell("12 km/h", 0.96)});
  EXPECT_THAT(sim::sweep::sweep_margin_sentence(two, sim::output::Units::kMetric),
              HasSubstr("1.0 mm in the tightest to 3.0 mm in the widest"));
  const auto none = sweep_of({cell("12 km/h", 0.93)});
  EXPECT_THAT(sim::sweep::sweep_margin_sentence(none, sim::output::Units::kMetric),
              HasSubstr("is reached in no cell"));
}

}  // namespace
