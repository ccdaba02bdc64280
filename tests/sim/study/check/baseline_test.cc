// Accepted results: text that reads back, what counts as worse, and drift that many small steps
// cannot hide. Figures are made up; what must follow from them is worked by hand.
#include "sim/study/check/baseline.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "sim/study/check/judged_metrics.h"
#include "tests/support/scratch_folder.h"

namespace sim::check {
namespace {

std::size_t index_of(std::string_view metric) {
  for (std::size_t k = 0; k < judged_metrics().size(); ++k)
    if (judged_metrics()[k].name == metric) return k;
  ADD_FAILURE() << metric;
  return 0;
}

CaseResult result_with(std::string_view metric, double value_si, const std::string& hash) {
  CaseResult result{.id = "a/b", .state = CaseState::kJudged, .inputs = "in1"};
  result.verdict = measure::Verdict::kHold;
  result.seeds_placed = 100;
  result.requirements = {
      {.name = "gap at most", .unit = "ratio", .limit = 0.05, .holds = true, .margin = 0.02}};
  result.figures_si.assign(judged_metrics().size(), 0.5);
  result.figures_si[index_of(metric)] = value_si;
  result.hashes.result = hash;
  return result;
}

std::vector<double> default_margins_si() { return margins_of_si(Suite{}); }

TEST(Baseline, TextIsSortedAndReadsBackToTheSameText) {
  Baseline baseline;
  for (const char* id : {"b/2", "a/1", "a/10"}) {
    CaseResult result = result_with("gap_ratio", 1.0 / 3.0, "r");
    result.figures_si[index_of("placement_error_mean")] = statistics::kNone_ratio;
    baseline.cases[id] = baseline_case_of(result, nullptr, "first\tand\nonly");
  }
  const std::string text = baseline_text(baseline);
  const ScratchFolder scratch;
  EXPECT_EQ(baseline_text(read_baseline(scratch.write("b.tsv", text))), text);
  EXPECT_TRUE(text.starts_with("# sillion baseline 1\na/1\tinputs\tin1\t\thash\n"));
  EXPECT_LT(text.find("a/10\t"), text.find("b/2\t"));
  EXPECT_NE(text.find("a/1\treason\tfirst and only\t\twords\n"), std::string::npos);
  EXPECT_NE(text.find("a/1\ttightest margin\t0.39999999999999997\t"), std::string::npos);
}

struct Step {
  const char* metric;
  double before_si, now_si;  // tidy: unit is the metric's
  Movement expected;
};

// Default margins: 1 % of seeds, 0.3 mm of bias, 0.5 mm of P95, not one seed without its band.
TEST(Baseline, WorseIsBeyondTheMarginInTheWrongDirection) {
  for (const Step& step :
       {Step{"within_10mm_sensed", 0.980, 0.969, Movement::kWorse},
        Step{"within_10mm_sensed", 0.980, 0.971, Movement::kChanged},
        Step{"within_10mm_sensed", 0.970, 0.985, Movement::kBetter},
        Step{"placement_error_mean", -0.1e-3, 0.45e-3, Movement::kWorse},
        Step{"placement_error_mean", -0.4e-3, 0.45e-3, Movement::kChanged},  // only its side moved
        Step{"placement_error_mean", -0.4e-3, 0.05e-3, Movement::kBetter},
        Step{"placement_error_abs_p95", 6.0e-3, 6.6e-3, Movement::kWorse},
        Step{"placement_error_abs_p95", 6.0e-3, 6.4e-3, Movement::kChanged},
        Step{"no_band", 0.0, 1.0, Movement::kWorse},
        Step{"placement_error_mean", 1e-3, statistics::kNone_ratio, Movement::kWorse}}) {
    const BaselineCase before =
        baseline_case_of(result_with(step.metric, step.before_si, "old"), nullptr, "x");
    CaseResult now = result_with(step.metric, step.now_si, "new");
    now.inputs = "in2";  // another controller
    EXPECT_EQ(movements_of(now, &before, default_margins_si()).movement, step.expected)
        << step.metric << " " << step.before_si << " to " << step.now_si;
  }
}

TEST(Baseline, SameInputsAndOtherBytesIsBroken) {
  const BaselineCase before = baseline_case_of(result_with("gap_ratio", 0.02, "old"), nullptr, "x");
  EXPECT_EQ(
      movements_of(result_with("gap_ratio", 0.02, "new"), &before, default_margins_si()).movement,
      Movement::kBroken);
  EXPECT_EQ(
      movements_of(result_with("gap_ratio", 0.02, "old"), &before, default_margins_si()).movement,
      Movement::kSame);
  EXPECT_EQ(
      movements_of(result_with("gap_ratio", 0.02, "old"), nullptr, default_margins_si()).movement,
      Movement::kNew);
}

// Five steps of 0.2 mm: none is beyond 0.5 mm, their sum is from the third on.
TEST(Baseline, SmallStepsAddUpToADriftSinceTheReleaseMark) {
  BaselineCase accepted =
      baseline_case_of(result_with("placement_error_abs_p95", 6.0e-3, "0"), nullptr, "x");
  for (int step = 1; step <= 5; ++step) {
    CaseResult now =
        result_with("placement_error_abs_p95", 6.0e-3 + 0.2e-3 * step, std::to_string(step));
    now.inputs = "in" + std::to_string(step + 1);
    const Movements moved = movements_of(now, &accepted, default_margins_si());
    EXPECT_EQ(moved.movement, Movement::kChanged) << step;
    EXPECT_EQ(moved.drifted.empty(), step < 3) << step;
    if (step == 3) {
      EXPECT_NEAR(moved.drifted[0].drift_worse_si, 0.6e-3, 1e-9);
    }
    accepted = baseline_case_of(now, &accepted, "x");
  }
  EXPECT_DOUBLE_EQ(accepted.values["placement_error_abs_p95"].released_si, 6.0e-3);
  EXPECT_DOUBLE_EQ(accepted.values["placement_error_abs_p95"].value_si, 7.0e-3);
}

TEST(Baseline, ASuitesMarginReplacesTheDefault) {
  Suite suite;
  suite.margins = {{"gap_ratio", 0.2}};
  EXPECT_DOUBLE_EQ(margins_of_si(suite)[index_of("gap_ratio")], 0.2);
  EXPECT_DOUBLE_EQ(margins_of_si(suite)[index_of("no_band")], 0.0);
}

TEST(Baseline, TheTightestMarginTellsWhatToRunFirst) {
  EXPECT_EQ(accepted_tightness_ratio(nullptr), -std::numeric_limits<double>::infinity());
  const BaselineCase one = baseline_case_of(result_with("gap_ratio", 0.03, "r"), nullptr, "x");
  EXPECT_DOUBLE_EQ(accepted_tightness_ratio(&one), 0.02 / 0.05);
}

TEST(Glob, MatchesAsShellsDo) {
  EXPECT_TRUE(glob_matches("*", "still/16 km/h"));
  EXPECT_TRUE(glob_matches("still/*", "still/16 km/h"));
  EXPECT_TRUE(glob_matches("*16*", "still/16 km/h"));
  EXPECT_TRUE(glob_matches("still/?? km/h", "still/16 km/h"));
  EXPECT_FALSE(glob_matches("still", "still/16 km/h"));
  EXPECT_FALSE(glob_matches("row*", "still/16 km/h"));
  EXPECT_FALSE(glob_matches("", "a"));
  EXPECT_TRUE(glob_matches("a*b*c", "axxbyybc"));
  EXPECT_FALSE(glob_matches("a*b*c", "axxbyyb"));
}

}  // namespace
}  // namespace sim::check
