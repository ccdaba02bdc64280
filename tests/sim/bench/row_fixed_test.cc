#include "sim/bench/row_fixed.h"

#include <gtest/gtest.h>

#include <cmath>

namespace {

sim::scenario::Scenario scenario() {
  sim::scenario::Scenario scenario;
  scenario.attachment.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
  return scenario;
}

TEST(RowFixed, RowsStandSymmetricallyAcrossTheMachine) {
  double sum_m = 0.0;
  for (int row = 0; row < 8; ++row) sum_m += sim::bench::nominal_row(scenario(), row).y_unit_m;
  EXPECT_NEAR(sum_m, 0.0, 1e-12);
  EXPECT_LT(sim::bench::nominal_row(scenario(), 0).y_unit_m, 0.0);  // row 0 on the left
  EXPECT_NEAR(sim::bench::nominal_row(scenario(), 7).y_unit_m, 3.5 * 0.762, 1e-12);
}

TEST(RowFixed, ARowIsTheSameWheneverItIsAskedFor) {
  EXPECT_EQ(sim::bench::drawn_row(scenario(), 3).liquid_path.tube.length_m,
            sim::bench::drawn_row(scenario(), 3).liquid_path.tube.length_m);
  EXPECT_NE(sim::bench::drawn_row(scenario(), 3).outlet_shift_m,
            sim::bench::drawn_row(scenario(), 4).outlet_shift_m);
}

// Over many rows the sd is the one that [noise] states; 2000 rows give it to 5 sigma = 8 %.
TEST(RowFixed, TheScatterIsTheOneStated) {
  double mount2 = 0.0, length2 = 0.0;
  constexpr int kRows = 2000;
  for (int row = 0; row < kRows; ++row) {
    const auto fixed = sim::bench::drawn_row(scenario(), row);
    mount2 += fixed.outlet_shift_m * fixed.outlet_shift_m;
    length2 += std::pow(fixed.liquid_path.tube.length_m - 0.3, 2);
  }
  EXPECT_NEAR(std::sqrt(mount2 / kRows), 3e-3, 0.08 * 3e-3);
  EXPECT_NEAR(std::sqrt(length2 / kRows), 10e-3, 0.08 * 10e-3);
}

}  // namespace
