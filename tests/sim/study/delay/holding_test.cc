// "holds 10 mm" has one meaning: `delay`'s table and `today` give the same answer.
#include "sim/study/delay/holding.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/study/delay/delay_tables.h"
#include "sim/study/delay/holding_words.h"
#include "sim/study/delay/today_tables.h"
#include "tests/sim/study/delay/delay_inputs.h"

namespace {

using sim_test::ideal_inputs;
using testing::HasSubstr;

sim::delay::DelaySpeed speed_that(bool held) {
  sim::delay::DelaySpeed at;
  at.trimmed[0].holds = held;
  return at;
}

// Seeds that leave the delivery at instants with 2 ms of scatter lie v times that apart: 95 %
// within 10 mm are lost at v = 10 mm/(1.960 * 2 ms) = 2.55 m/s (two-sided normal quantile). The
// strips are long, so that the error of their own mean adds next to nothing.
const std::vector<std::string> kScattered = {"delivery.time_scatter=\"2 ms\"", "tuning.seeds=200",
                                             "controller.strip_test_bands=200"};

std::string without_tags(const std::string& html) {
  std::string text;
  bool tag = false;
  for (const char c : html) {
    if (c == '<') tag = true;
    if (!tag) text += c;
    if (c == '>') tag = false;
  }
  return text;
}

}  // namespace

TEST(Holding, DelayAndTodayGiveOneAnswer) {
  for (const auto& sets : {kScattered, std::vector<std::string>{}}) {
    const sim::delay::DelayInputs inputs = ideal_inputs(sets);
    const sim::delay::DelayStudy study = sim::delay::run_delay_study(inputs);
    const sim::delay::TodayResult today = sim::delay::find_today(inputs, inputs, study.table);
    ASSERT_FALSE(std::isnan(today.fastest_mps));
    EXPECT_EQ(today.fastest_mps, study.fastest.holds_mps);
    EXPECT_EQ(sim::delay::speeds_held_mps(study, 0, true).high_si, today.fastest_mps);
    int compared = 0;
    for (const sim::delay::DelaySpeed& of_table : study.speeds)
      for (const sim::delay::DelaySpeed& of_today : today.speeds) {
        if (of_table.speed_mps != of_today.speed_mps) continue;
        EXPECT_EQ(of_table.trimmed[0].share_ratio, of_today.trimmed[0].share_ratio);
        EXPECT_EQ(sim::delay::holds(of_table), sim::delay::holds(of_today));
        ++compared;
      }
    EXPECT_GE(compared, 1);
    const std::string words =
        sim::delay::holding_words(inputs.scenario, study.plan.judging, sim::output::Units::kMetric);
    EXPECT_THAT(sim::delay::today_lines(today, sim::output::Units::kMetric), HasSubstr(words));
    EXPECT_THAT(without_tags(sim::delay::delay_sheet_html(study, sim::output::Units::kMetric)),
                HasSubstr(words));
  }
}

TEST(Holding, TheFastestIsWhereTheScatterSaysItIs) {
  const sim::delay::DelayStudy study = sim::delay::run_delay_study(ideal_inputs(kScattered));
  EXPECT_NEAR(study.fastest.holds_mps, 10.0 / (1.960 * 2.0), 0.25);
  EXPECT_GT(study.fastest.fails_mps, study.fastest.holds_mps);
}

TEST(Holding, TheSearchHalvesBetweenTheLastThatHoldsAndTheNext) {
  const double speeds_mps[] = {2.0, 4.0, 6.0};
  std::vector<double> tried_mps;
  const sim::delay::FastestHeld found =
      sim::delay::find_fastest(speeds_mps, [&](const sim::delay::JudgedSpeed& at) {
        tried_mps.push_back(at.speed_mps);
        EXPECT_EQ(at.index, at.speed_mps > 4.0 ? 2u : 1u);
        return speed_that(at.speed_mps <= 4.8);
      });
  EXPECT_THAT(tried_mps, testing::ElementsAre(6.0, 4.0, 5.0, 4.5, 4.75, 4.875));
  EXPECT_EQ(found.holds_mps, 4.75);
  EXPECT_EQ(found.fails_mps, 4.875);
}

TEST(Holding, NothingIsPromisedAboveTheFastestThatWasJudged) {
  const double speeds_mps[] = {2.0, 4.0};
  const auto all =
      sim::delay::find_fastest(speeds_mps, [](const auto&) { return speed_that(true); });
  EXPECT_EQ(all.holds_mps, 4.0);
  EXPECT_TRUE(std::isnan(all.fails_mps));
  const auto none =
      sim::delay::find_fastest(speeds_mps, [](const auto&) { return speed_that(false); });
  EXPECT_TRUE(std::isnan(none.holds_mps));
  EXPECT_EQ(none.fails_mps, 2.0);
}

TEST(Holding, WhatTheSupplyCannotGiveOrTheDelayCannotServeDoesNotHold) {
  sim::delay::DelaySpeed at = speed_that(true);
  EXPECT_TRUE(sim::delay::holds(at));
  at.deliverable = false;
  EXPECT_FALSE(sim::delay::holds(at));
  at.deliverable = true;
  at.servable = false;
  EXPECT_FALSE(sim::delay::holds(at));
}

TEST(Holding, ASpanIsOneFigureOrHasDigitsEnough) {
  using sim::output::Measure;
  using sim::output::Units;
  EXPECT_EQ(sim::delay::span_words(284.15, 292.15, Measure::kTemperature, Units::kMetric),
            "11.0 to 19.0 °C");
  EXPECT_EQ(sim::delay::span_words(5.1e-3, 5.1e-3, Measure::kPlace, Units::kMetric), "5.1 mm");
  EXPECT_EQ(sim::delay::span_words(5.11e-3, 5.13e-3, Measure::kPlace, Units::kMetric),
            "5.11 to 5.13 mm");
}
