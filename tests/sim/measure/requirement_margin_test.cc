// What is judged of a requirement beside whether it holds: margin, counts of a share, and the bound
// itself.
#include <gtest/gtest.h>

#include <vector>

#include "sim/measure/summary.h"
#include "tests/sim/measure/measure_rows.h"

namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::RequirementResult;
using sim::measure::RowRecord;
using sim::scenario::BoundSense;

/// Three sensed seeds, two with a band of their own (4 mm ahead and 12 mm behind), and one that is
/// not sensed and has none.
RequirementResult judged(const char* metric, BoundSense sense,
                         double bound) {  // tidy: unit is the metric's
  sim::scenario::Scenario scenario;
  scenario.row.width_m = 0.75;
  scenario.seeding.meter.spacing_m = kSpacing_m;
  scenario.rate.band_length_m = kBand_m;
  scenario.rate.in_band_m3pm2 = kDose_m3 / (0.75 * kBand_m);
  scenario.requirements = {{metric, sense, bound}};
  RowRecord row;
  for (double x_m : {1.00, 1.16, 1.32}) add_seed(row, x_m);
  add_seed(row, 1.48, false);
  add_band_at(row, 1.004);
  add_band_at(row, 1.148);
  std::vector<RowRecord> rows{row};
  return sim::measure::summarize(rows, scenario, 1.0).requirements.at(0);
}

// Four seeds are placed: 6 at most leaves 2, 3 at most lacks 1, and the bound itself holds.
TEST(RequirementMargin, IsTheDistanceToTheLimitOnTheGoodSide) {
  EXPECT_EQ(judged("placed", BoundSense::kAtMost, 6.0).margin, 2.0);
  EXPECT_EQ(judged("placed", BoundSense::kAtMost, 3.0).margin, -1.0);
  EXPECT_EQ(judged("placed", BoundSense::kAtLeast, 3.0).margin, 1.0);
  EXPECT_EQ(judged("placed", BoundSense::kAtLeast, 9.0).margin, -5.0);
  for (const BoundSense sense : {BoundSense::kAtMost, BoundSense::kAtLeast}) {
    EXPECT_TRUE(judged("placed", sense, 4.0).holds);
    EXPECT_EQ(judged("placed", sense, 4.0).margin, 0.0);
  }
}

// Within 10 mm lies one seed: of 3 sensed, and of 4 placed. Of the two sensed seeds with a band of
// their own both have its dose. What is no share has no counts.
TEST(RequirementMargin, AShareNamesItsCounts) {
  RequirementResult result = judged("within_10mm_sensed", BoundSense::kAtLeast, 0.5);
  EXPECT_EQ(result.good, 1);
  EXPECT_EQ(result.total, 3);
  EXPECT_FALSE(result.holds);
  result = judged("within_10mm_placed", BoundSense::kAtLeast, 0.2);
  EXPECT_EQ(result.good, 1);
  EXPECT_EQ(result.total, 4);
  EXPECT_TRUE(result.holds);
  result = judged("dose_within_10_percent_sensed", BoundSense::kAtLeast, 1.0);
  EXPECT_EQ(result.good, 2);
  EXPECT_EQ(result.total, 2);
  result = judged("placed", BoundSense::kAtLeast, 1.0);
  EXPECT_EQ(result.good, -1);
  EXPECT_EQ(result.total, -1);
}

}  // namespace
