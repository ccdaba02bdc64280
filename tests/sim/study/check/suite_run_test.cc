// Cases run in order and within the time allowed, a fault ends its case alone, and a finished case
// reads back from its file as it was.
#include "sim/study/check/suite_run.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "sim/study/check/case_file.h"
#include "sim/study/check/case_result.h"
#include "sim/study/check/judged_metrics.h"
#include "sim/study/check/suite_result.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/tables.h"
#include "tests/support/scratch_folder.h"
#include "tests/support/small_suite.h"

namespace sim::check {
namespace {

/// Only the rows without noise, which take a moment.
Suite quick_suite(const ScratchFolder& scratch) {
  Suite suite = load_suite(support::write_small_suite(scratch.path()));
  suite.cases.pop_back();
  return suite;
}

TEST(SuiteRun, RunsWhatMayStartInTheGivenOrder) {
  const ScratchFolder scratch;
  const Suite suite = quick_suite(scratch);
  std::vector<std::size_t> ran;
  std::atomic<int> started{0};
  const std::size_t order[] = {2, 0, 1};
  run_cases(suite, order,
            {.may_start = [&] { return started.fetch_add(1) < 2; },
             .on_case = [&](std::size_t index, CaseOutcome&) { ran.push_back(index); }});
  std::sort(ran.begin(), ran.end());
  EXPECT_EQ(ran, (std::vector<std::size_t>{0, 2}));
}

TEST(SuiteRun, StopsWhereTheCallerAsks) {
  const ScratchFolder scratch;
  const Suite suite = quick_suite(scratch);
  const std::atomic<bool> stop{true};
  const std::size_t order[] = {0};
  EXPECT_THROW(run_cases(suite, order, {.stop = &stop}), bench::Interrupted);
}

TEST(SuiteRun, ACaseThatCannotBeServedIsAnInputFaultOfItsOwn) {
  const ScratchFolder scratch;
  Suite suite = quick_suite(scratch);
  suite.cases[0].scenario.attachment.outlet_offset_m = -0.4;
  suite.cases[1].scenario.controller.library = "no/such/library.so";
  for (const std::size_t index : {std::size_t{0}, std::size_t{1}}) {
    const CaseOutcome outcome = run_case(suite.cases[index].scenario, nullptr);
    EXPECT_EQ(outcome.state, CaseState::kBadInput);
    EXPECT_EQ(case_result_of(suite.cases[index], outcome).state, CaseState::kBadInput);
    EXPECT_FALSE(outcome.fault.empty());
  }
}

TEST(CaseFile, ReadsBackWhatWasWrittenAndNothingElse) {
  const ScratchFolder scratch;
  const Suite suite = quick_suite(scratch);
  CaseOutcome outcome = run_case(suite.cases[0].scenario, nullptr);
  seal(outcome.result);
  CaseResult result = case_result_of(suite.cases[0], outcome);
  result.inputs = run::inputs_hash(suite.cases[0].scenario);
  ASSERT_EQ(result.state, CaseState::kJudged);
  ASSERT_FALSE(result.requirements.empty());
  const std::string text = case_json(result);
  const auto file = scratch.write("runs/one.json", text);
  const std::optional<CaseResult> read = read_case(file, result.id, result.inputs);
  ASSERT_TRUE(read.has_value());
  EXPECT_EQ(case_json(*read), text);
  EXPECT_EQ(read->requirements[0].margin, result.requirements[0].margin);
  EXPECT_EQ(read->hashes.result, result.hashes.result);
  EXPECT_FALSE(read_case(file, result.id, "other inputs").has_value());
  EXPECT_FALSE(read_case(file, "other case", result.inputs).has_value());
  EXPECT_FALSE(read_case(scratch.path() / "none.json", result.id, result.inputs).has_value());
  for (const std::size_t cut : {std::size_t{0}, text.size() / 2, text.size() - 3})
    EXPECT_FALSE(read_case(scratch.write("cut.json", text.substr(0, cut)), result.id, result.inputs)
                     .has_value())
        << cut;
}

TEST(CaseFile, InputsHangOnTheScenarioAndItsRequirements) {
  const ScratchFolder scratch;
  const Suite suite = quick_suite(scratch);
  scenario::Scenario other = suite.cases[0].scenario;
  const std::string before = run::inputs_hash(other);
  EXPECT_EQ(before.size(), 16u);
  other.requirements[0].bound *= 1.01;
  EXPECT_NE(run::inputs_hash(other), before);
  other = suite.cases[0].scenario;
  other.rng_key += 1;
  EXPECT_NE(run::inputs_hash(other), before);
}

TEST(CaseResult, TightnessIsTheLeastMarginOverItsLimit) {
  CaseResult result{.id = "a", .state = CaseState::kJudged};
  result.requirements = {{.unit = "m", .limit = 4e-3, .holds = true, .margin = 1e-3},
                         {.unit = "ratio", .limit = 0.95, .holds = true, .margin = 0.04},
                         {.unit = "1", .limit = 0.0, .holds = true, .margin = 0.0},
                         {.unit = "m", .limit = 1e-3, .seen = false}};
  EXPECT_DOUBLE_EQ(tightness_ratio(result), 0.04 / 0.95);
  result.state = CaseState::kControllerFault;
  EXPECT_EQ(tightness_ratio(result), -std::numeric_limits<double>::infinity());
}

TEST(SuiteResult, EveryKindOfTroubleIsToldApart) {
  SuiteResult suite;
  suite.suite.cases.resize(1);
  suite.results.resize(1);
  SuiteCase& one = suite.suite.cases[0];
  CaseResult& result = suite.results[0];
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kMissing);
  one.mandatory = false;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kNone);
  result.state = CaseState::kControllerFault;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kController);
  result.state = CaseState::kBenchFault;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kBench);
  result.state = CaseState::kJudged;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kNoData);  // no seed placed
  result.seeds_placed = 5;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kNoData);  // no requirement
  result.verdict = measure::Verdict::kHold;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kNone);
  suite.movements = {{.movement = Movement::kChanged}};
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kChanged);
  suite.movements[0].movement = Movement::kWorse;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kWorse);
  result.verdict = measure::Verdict::kFail;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kViolated);
  suite.movements[0].movement = Movement::kBroken;
  EXPECT_EQ(trouble_of(suite, 0), Trouble::kBytes);
}

}  // namespace
}  // namespace sim::check
