// A row of which nothing was recorded yet: sums begin at 0, and what did not happen has no instant
// (record.h). Read by those that add to a record or judge it.
#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/judge.h"

namespace new_record {
namespace {

using sim::measure::Figures;
using sim::measure::RowRecord;

Figures volumes_of(const RowRecord& row) {
  sim::scenario::Scenario scenario;
  scenario.row.width_m = 0.75;
  Figures figures;
  sim::measure::add_volumes(std::span(&row, 1), scenario, figures);
  return figures;
}

TEST(NewRecord, NoLiquidIsBookedAnywhere) {
  RowRecord row;
  row.applied_volume_m3 = 1e-6;
  row.travelled_m = 10.0;
  EXPECT_EQ(volumes_of(row).gap_ratio, 0.0);
  EXPECT_EQ(volumes_of(row).outward_mean_m, 0.0);
  EXPECT_EQ(volumes_of(row).outward_max_m, 0.0);
  EXPECT_EQ(volumes_of(row).field_rate_m3pm2, 0.0);
  EXPECT_EQ(sim::measure::jet_figures(std::span(&row, 1), {}).speed_mps, 0.0);
  EXPECT_EQ(row.jet_speed_max_mps, 0.0);
}

TEST(NewRecord, WithoutThroughputNoResidualHasAShare) {
  RowRecord row;
  row.balance_residual_m3 = 1.0;
  EXPECT_EQ(volumes_of(row).balance_residual_ratio, 0.0);
}

TEST(NewRecord, TheWayAtWorkHasNoLength) {
  const RowRecord row;
  EXPECT_EQ(row.work_end_x_m - row.work_start_x_m, 0.0);
  EXPECT_EQ(row.travelled_m, 0.0);
}

TEST(NewRecord, TheLineIsFullAndNothingWasStepped) {
  const RowRecord row;
  EXPECT_TRUE(std::isnan(row.air_from_s)) << "no air yet";
  EXPECT_TRUE(std::isnan(row.dry_from_s)) << "liquid leaves";
  EXPECT_EQ(row.steps, 0);
  EXPECT_EQ(row.coil.step_s, 0.0) << "no current is kept";
}

}  // namespace
}  // namespace new_record
