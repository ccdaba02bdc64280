// Volumes of cylinders, worked by hand: what leaves is liquid until that of both lines is used up.
#include "sim/bench/air_behind.h"

#include <gtest/gtest.h>

#include <cmath>

#include "shared/units.h"

namespace {

TEST(AirBehind, LiquidLeavesUntilThatOfBothLinesIsUsedUp) {
  model::RowUnitParams path;
  path.hose.bore_m = 0.010;
  path.hose.length_m = 1.0;
  path.tube.bore_m = 0.004;
  path.tube.length_m = 0.5;
  const double lines_m3 = shared::kPi_ratio / 4.0 * (1e-4 * 1.0 + 1.6e-5 * 0.5);
  const double void_m3 = 1e-7;

  sim::measure::RowRecord record;
  sim::bench::AirBehind air;
  air.begin(2.0, path, void_m3, record);
  air.begin(3.0, path, 0.0, record);  // goes on as it began
  EXPECT_EQ(record.air_from_s, 2.0);

  const double step_m3 = 1e-5;
  double liquid_m3 = 0.0;
  for (int k = 0; k < 12; ++k) {
    model::RowStepOutput out;
    out.inlet_volume_m3 = out.jet_volume_m3 = step_m3;
    out.outlet_flow_m3ps = 1.0;
    air.leave_out(2.0 + k, out, record);
    EXPECT_EQ(out.inlet_volume_m3, 0.0);
    liquid_m3 += out.jet_volume_m3;
  }
  EXPECT_NEAR(liquid_m3, lines_m3 - void_m3, 1e-15);
  EXPECT_NEAR(air.in_m3(), 12 * step_m3, 1e-15);
  EXPECT_NEAR(air.out_m3(), 12 * step_m3 - liquid_m3, 1e-15);
  // 84.7 ml of liquid at 10 ml for each step: the ninth step is the first that ends dry.
  EXPECT_EQ(record.dry_from_s, 2.0 + 8);
}

}  // namespace
