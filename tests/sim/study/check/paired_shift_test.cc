// What two builds' figures on the same seeds say of a shift.
//
// The interval by hand: differences 1, 2, 3, 4, 5 (times 0.1 mm) have mean 3 and sd 1.5811;
// t(0.995, 4) = 4.604 (table of Student's t, from memory), half width 4.604 * 1.5811 / sqrt(5)
// = 3.2555.
#include "sim/study/check/paired_shift.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/sim/study/check/paired_passes.h"

namespace sim::check {
namespace {

using Runs = std::vector<std::vector<double>>;

std::size_t index_of(std::string_view metric) {
  for (std::size_t k = 0; k < judged_metrics().size(); ++k)
    if (judged_metrics()[k].name == metric) return k;
  ADD_FAILURE() << metric;
  return 0;
}

Runs with(std::string_view metric, const std::vector<double>& values_si) {
  Runs runs;
  for (const double value_si : values_si) {
    runs.emplace_back(judged_metrics().size(), 0.0);
    runs.back()[index_of(metric)] = value_si;
  }
  return runs;
}

MetricShift shift_of(std::string_view metric, const Runs& before, const Runs& after) {
  return paired_shifts(before, after, margins_of_si(Suite{}))[index_of(metric)];
}

TEST(PairedShift, IntervalIsStudentsOverTheRuns) {
  const Runs before = with("placement_error_mean", {0, 0, 0, 0, 0});
  const Runs after = with("placement_error_mean", {1e-4, 2e-4, 3e-4, 4e-4, 5e-4});
  const MetricShift shift = shift_of("placement_error_mean", before, after);
  EXPECT_NEAR(shift.mean_si, 3e-4, 1e-12);
  EXPECT_NEAR(shift.low_si, 3e-4 - 3.2555e-4, 1e-7);
  EXPECT_NEAR(shift.high_si, 3e-4 + 3.2555e-4, 1e-7);
  EXPECT_EQ(shift.verdict, ShiftVerdict::kUnclear);
  EXPECT_GT(shift.needed, 5);
}

TEST(PairedShift, AShiftThatIsTheSameInEveryRunIsBeyondDoubt) {
  const Runs before = with("placement_error_mean", {1e-4, -2e-4, 5e-5});
  const auto moved = [&](double by_m) {
    Runs after = before;
    for (auto& run : after) run[index_of("placement_error_mean")] += by_m;
    return shift_of("placement_error_mean", before, after).verdict;
  };
  EXPECT_EQ(moved(0.5e-3), ShiftVerdict::kShifted);
  EXPECT_EQ(moved(-0.5e-3), ShiftVerdict::kShifted);  // a bias, whichever way
  EXPECT_EQ(moved(0.2e-3), ShiftVerdict::kWithin);
  EXPECT_EQ(moved(0.0), ShiftVerdict::kWithin);
}

TEST(PairedShift, LessErrorIsBetterAndMoreIsNot) {
  const Runs before = with("placement_error_abs_p95", {6e-3, 6e-3, 6e-3});
  EXPECT_EQ(shift_of("placement_error_abs_p95", before,
                     with("placement_error_abs_p95", {5e-3, 5e-3, 5e-3}))
                .verdict,
            ShiftVerdict::kBetter);
  EXPECT_EQ(shift_of("placement_error_abs_p95", before,
                     with("placement_error_abs_p95", {7e-3, 7e-3, 7e-3}))
                .verdict,
            ShiftVerdict::kShifted);
}

TEST(PairedShift, AFigureThatOneBuildAloneLacksIsNoVerdict) {
  const Runs before = with("placement_error_mean", {1e-4, 1e-4, 1e-4});
  EXPECT_EQ(
      shift_of("placement_error_mean", before, with("placement_error_mean", {NAN, 1e-4, 1e-4}))
          .verdict,
      ShiftVerdict::kUnclear);
}

// On the same seeds a build differs from itself in no byte, and no alarm is possible. The harder
// test takes other seeds on either side, so that the difference is chance alone. Goal: 1 % at most.
TEST(PairedShiftSlow, ABuildAgainstItselfOnOtherSeedsRaisesNoAlarm) {
  constexpr std::size_t kComparisons = 40, kRuns = 8;
  const sim_test::PairedPasses passes;
  std::vector<std::vector<double>> pool;
  for (std::size_t k = 0; k < 2 * kRuns * 10; ++k) pool.push_back(passes.figures_si(k, 0.0));
  int alarmed = 0;
  for (std::size_t c = 0; c < kComparisons; ++c) {
    Runs sides[2];
    for (std::size_t k = 0; k < 2 * kRuns; ++k)
      sides[k % 2].push_back(pool[(c * 37 + k * (1 + c % 7)) % pool.size()]);
    alarmed += sim_test::alarms(paired_shifts(sides[0], sides[1], margins_of_si(Suite{})));
  }
  EXPECT_LE(alarmed, 1);
}

TEST(PairedShift, APlantedHalfMillimetreIsFound) {
  constexpr std::size_t kComparisons = 20, kRuns = 5;
  const sim_test::PairedPasses passes;
  int found = 0;
  for (std::size_t c = 0; c < kComparisons; ++c) {
    Runs sides[2];
    for (std::size_t run = 0; run < kRuns; ++run) {
      sides[0].push_back(passes.figures_si(c * kRuns + run, 0.0));
      sides[1].push_back(passes.figures_si(c * kRuns + run, 0.5e-3));
    }
    found += sim_test::alarms(paired_shifts(sides[0], sides[1], margins_of_si(Suite{})));
  }
  EXPECT_EQ(found, static_cast<int>(kComparisons));
}

}  // namespace
}  // namespace sim::check
