// Requirements over time on hand-made signals: values and margins worked by hand beside each check.
#include "sim/measure/temporal.h"

#include <gtest/gtest.h>

#include "sim/bench/signal_events.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/run.h"

namespace sim::measure {
namespace {

using Rows = std::vector<RowRecord>;

RowRecord record_with(double until_s) {
  RowRecord row;
  row.signals.kept = true;
  row.signals.until_s = until_s;
  return row;
}

void put(RowRecord& row, scenario::OnOff signal, double from_s, double to_s) {
  note_on(row.signals, signal, from_s, to_s);
}

scenario::Requirement rule(scenario::TemporalForm form, const char* signal, bool negated = false) {
  scenario::Requirement requirement;
  requirement.rule.form = form;
  requirement.rule.signal = signal;
  requirement.rule.negated = negated;
  return requirement;
}

scenario::Requirement never_open_while_lifted(double grace_s = 0.0) {
  scenario::Requirement requirement = rule(scenario::TemporalForm::kNever, "open");
  requirement.rule.during = "lifted";
  requirement.rule.grace_s = grace_s;
  return requirement;
}

TEST(Temporal, NeverMeasuresTheSmallestDistanceOrTheLongestOverlap) {
  RowRecord row = record_with(10.0);
  put(row, scenario::OnOff::kLifted, 4.0, 6.0);
  put(row, scenario::OnOff::kOpen, 3.9, 3.97);  // ends 30 ms before the lift
  put(row, scenario::OnOff::kOpen, 6.5, 6.6);
  TemporalResult result = judge_in_time(never_open_while_lifted(), Rows{row});
  EXPECT_TRUE(result.fired && result.holds);
  EXPECT_NEAR(result.margin_si, 0.03, 1e-12);
  put(row, scenario::OnOff::kOpen, 7.0, 7.1);
  row.signals.on[static_cast<std::size_t>(scenario::OnOff::kOpen)].push_back({5.0, 5.2});
  result = judge_in_time(never_open_while_lifted(), Rows{row});
  EXPECT_FALSE(result.holds);
  EXPECT_NEAR(result.value_si, 0.2, 1e-12);  // 5.0 to 5.2
  EXPECT_NEAR(result.margin_si, -0.2, 1e-12);
  EXPECT_NEAR(result.at_s, 5.0, 1e-12);
}

TEST(Temporal, GraceTakesTheFirstStretchOutAndAnInstantInsideViolates) {
  RowRecord row = record_with(10.0);
  put(row, scenario::OnOff::kLifted, 4.0, 6.0);
  put(row, scenario::OnOff::kOpen, 3.95, 4.02);
  EXPECT_FALSE(judge_in_time(never_open_while_lifted(), Rows{row}).holds);
  const TemporalResult graced = judge_in_time(never_open_while_lifted(0.05), Rows{row});
  EXPECT_TRUE(graced.holds);
  EXPECT_NEAR(graced.margin_si, 0.03, 1e-12);  // 4.05 less 4.02
  scenario::Requirement no_edge = rule(scenario::TemporalForm::kNever, "edge");
  no_edge.rule.during = "lifted";
  put(row, scenario::OnOff::kEdge, 5.0, 5.0);
  EXPECT_FALSE(judge_in_time(no_edge, Rows{row}).holds);
}

TEST(Temporal, EventuallyTakesTheSlowestAnswer) {
  RowRecord row = record_with(10.0);
  put(row, scenario::OnOff::kSpeedStale, 2.0, 3.0);
  put(row, scenario::OnOff::kSpeedStale, 5.0, 6.0);
  put(row, scenario::OnOff::kOpen, 1.99,
      2.004);  // closed 4 ms behind the first, already behind the second
  scenario::Requirement closed = rule(scenario::TemporalForm::kEventually, "open", true);
  closed.rule.when = "speed stale";
  closed.rule.within_s = 0.05;
  TemporalResult result = judge_in_time(closed, Rows{row});
  EXPECT_TRUE(result.holds);
  EXPECT_NEAR(result.value_si, 0.004, 1e-12);
  EXPECT_NEAR(result.margin_si, 0.046, 1e-12);
  closed.rule.within_s = 0.003;
  EXPECT_FALSE(judge_in_time(closed, Rows{row}).holds);
}

TEST(Temporal, AnAnswerThatNeverCameViolatesUnlessThePassEndedFirst) {
  RowRecord row = record_with(10.0);
  put(row, scenario::OnOff::kSpeedLost, 9.9, 10.0);
  scenario::Requirement alarm = rule(scenario::TemporalForm::kEventually, "alarm");
  alarm.rule.when = "speed lost";
  alarm.rule.within_s = 0.2;  // reaches to 10.1, past the end
  EXPECT_FALSE(judge_in_time(alarm, Rows{row}).fired);
  alarm.rule.within_s = 0.05;
  const TemporalResult result = judge_in_time(alarm, Rows{row});
  EXPECT_TRUE(result.fired);
  EXPECT_FALSE(result.holds);
}

TEST(Temporal, SeedsCountEdgesUpToTheAnswer) {
  RowRecord row = record_with(10.0);
  put(row, scenario::OnOff::kSpeedLost, 2.0, 9.0);
  for (int k = 0; k < 40; ++k) put(row, scenario::OnOff::kEdge, 0.25 * k, 0.25 * k);
  put(row, scenario::OnOff::kAlarm, 3.1, 3.1);  // edges at 2.25, 2.5, 2.75, 3.0: four
  scenario::Requirement alarm = rule(scenario::TemporalForm::kEventually, "alarm");
  alarm.rule.when = "speed lost";
  alarm.rule.within_seeds = 4;
  EXPECT_TRUE(judge_in_time(alarm, Rows{row}).holds);
  EXPECT_EQ(judge_in_time(alarm, Rows{row}).value_si, 4.0);
  alarm.rule.within_seeds = 3;
  EXPECT_FALSE(judge_in_time(alarm, Rows{row}).holds);
}

TEST(Temporal, HoldMeasuresHowLongBeforeOrBehindItsEnd) {
  RowRecord row = record_with(10.0);
  put(row, scenario::OnOff::kEdge, 2.0, 2.0);
  put(row, scenario::OnOff::kOpen, 2.5, 2.6);
  scenario::Requirement closed = rule(scenario::TemporalForm::kHold, "open", true);
  closed.rule.until = "edge";
  TemporalResult result = judge_in_time(closed, Rows{row});
  EXPECT_TRUE(result.holds);
  EXPECT_NEAR(result.margin_si, 0.5, 1e-12);
  RowRecord early = record_with(10.0);
  put(early, scenario::OnOff::kEdge, 2.0, 2.0);
  put(early, scenario::OnOff::kOpen, 1.5, 1.6);
  result = judge_in_time(closed, Rows{row, early});
  EXPECT_FALSE(result.holds);
  EXPECT_NEAR(result.value_si, 0.5, 1e-12);
  EXPECT_EQ(result.row, 1);
}

TEST(Temporal, AlwaysIsTheDistanceOfTheExtremeWhileTheGateIsOn) {
  RowRecord row = record_with(0.0);
  note_step(row.signals, {.from_s = 0.0, .to_s = 0.1, .gates = {true}, .reals_si = {3e5}});
  note_step(row.signals, {.from_s = 0.1, .to_s = 0.2, .gates = {false}, .reals_si = {1e5}});
  note_step(row.signals, {.from_s = 0.2, .to_s = 0.3, .gates = {true}, .reals_si = {2.6e5}});
  scenario::Requirement pressure = rule(scenario::TemporalForm::kAlways, "supply pressure");
  pressure.sense = scenario::BoundSense::kAtLeast;
  pressure.bound = 2.5e5;
  EXPECT_NEAR(judge_in_time(pressure, Rows{row}).margin_si, -1.5e5, 1e-6);
  pressure.rule.during = "commanded";
  EXPECT_NEAR(judge_in_time(pressure, Rows{row}).margin_si, 0.1e5, 1e-6);
  EXPECT_NEAR(judge_in_time(pressure, Rows{row}).at_s, 0.2, 1e-12);
  EXPECT_EQ(row.signals.of(scenario::OnOff::kCommanded).size(), 2u);
}

TEST(Temporal, NothingToJudgeIsNoPass) {
  const TemporalResult result = judge_in_time(never_open_while_lifted(), Rows{record_with(10.0)});
  EXPECT_FALSE(result.fired);
  EXPECT_FALSE(result.holds);
}

// The reference controller closes within its stated 50 ms when the bus falls silent: the speed is
// stale after controller.speed_timeout, then no band is fired.
TEST(Temporal, ARealPassIsJudgedOnItsSignals) {
  const std::vector<std::string> sets = {"row.count=1",
                                         "seeds=60",
                                         "fault[0].kind=lost_speed",
                                         "fault[0].from=2.5 s",
                                         "require[0].eventually=closed",
                                         "require[0].when=speed stale",
                                         "require[0].within=50 ms",
                                         "require[1].always=supply pressure",
                                         "require[1].at_least=0.1 bar",
                                         "require[1].while=commanded"};
  std::vector<std::string> own = sets;
  own.insert(own.begin(), "require=[]");
  const scenario::Scenario scenario =
      scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/demo.toml", own);
  ASSERT_EQ(scenario.requirements.size(), 2u);
  const run::RunResult result = run::run_scenario(scenario);
  const std::vector<RequirementResult>& judged = result.summary.requirements;
  EXPECT_TRUE(judged[0].seen);
  EXPECT_TRUE(judged[0].holds) << judged[0].value;
  EXPECT_TRUE(judged[1].holds) << judged[1].value;
  EXPECT_GT(judged[1].margin, 0.0);
  EXPECT_NE(judged[0].place, "");
}

TEST(Temporal, WatchingSignalsMovesNoBand) {
  std::vector<std::string> sets = {"require=[]", "row.count=1", "seeds=60"};
  const std::string file = SILLION_SOURCE_DIR "/scenarios/demo.toml";
  const run::RunResult bare = run::run_scenario(scenario::load_scenario(file, sets));
  sets.insert(sets.end(), {"require[0].never=not flowing", "require[0].while=flowing"});
  const run::RunResult watched = run::run_scenario(scenario::load_scenario(file, sets));
  const std::vector<BandRecord>& bands = bare.record.rows[0].bands;
  ASSERT_EQ(bands.size(), watched.record.rows[0].bands.size());
  ASSERT_FALSE(bands.empty());
  for (std::size_t k = 0; k < bands.size(); ++k) {
    EXPECT_EQ(bands[k].start_x_ground_m, watched.record.rows[0].bands[k].start_x_ground_m);
    EXPECT_EQ(bands[k].dose_m3, watched.record.rows[0].bands[k].dose_m3);
  }
  EXPECT_FALSE(watched.record.rows[0].signals.of(scenario::OnOff::kFlowing).empty());
}

TEST(Temporal, AShareCountsOverItsOwnDenominator) {
  const scenario::Scenario scenario = scenario::load_scenario(
      SILLION_SOURCE_DIR "/scenarios/demo.toml",
      {"require=[]", "row.count=1", "seeds=60", "require[0].metric=dose_within_10_percent_sensed",
       "require[0].at_least=1 %", "require[1].metric=within_25mm_placed",
       "require[1].at_least=1 %"});
  const run::RunResult result = run::run_scenario(scenario);
  long long own = 0, placed = 0;
  for (const SeedRecord& seed : result.record.rows[0].seeds) {
    ++placed;
    own += seed.sensed && (seed.status == SeedStatus::kBanded || seed.status == SeedStatus::kWeak);
  }
  EXPECT_EQ(result.summary.requirements[0].total, own);
  EXPECT_EQ(result.summary.requirements[1].total, placed);
  EXPECT_LT(result.summary.requirements[0].lower95_ratio, result.summary.requirements[0].value);
}

}  // namespace
}  // namespace sim::measure
