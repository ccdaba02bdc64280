// Ideal ends as numbers of one law: flow against an arriving wave, worked by hand.
#include "model/fluid/ideal_end.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/fluid/column.h"

namespace model {
namespace {

constexpr double kZ = 3e10;
constexpr OutletStep<double> kStep{.impedance_paspm3 = kZ,
                                   .step_over_impedance_m3ppa = 1e-5 / kZ,
                                   .step_s = 1e-5,
                                   .per_step_ps = 1e5};

double flow_m3ps(const IdealEnd& end, double arriving_pa) {
  RowUnitParams row;
  row.end = end;
  return pass_column_end(make_end_plan(row), kStep, arriving_pa, 0.0, false).flow_m3ps;
}

// p = R q and p = F - Z q: q = F/(R + Z), both ways.
TEST(IdealEnd, Linear) {
  const IdealEnd end{.kind = EndKind::kLinear, .resistance_paspm3 = 1e10};
  EXPECT_DOUBLE_EQ(flow_m3ps(end, 4e5), 1e-5);
  EXPECT_DOUBLE_EQ(flow_m3ps(end, -4e5), -1e-5);
}

// Passes 10 ml/s at 2 bar: at q = 5 ml/s the drop is 0.5 bar, so F = 0.5e5 + Z 5e-6 = 2e5.
TEST(IdealEnd, Root) {
  const IdealEnd end{.kind = EndKind::kRoot, .root_flow_m3ps = 10e-6, .root_drop_pa = 2e5};
  EXPECT_NEAR(flow_m3ps(end, 2e5), 5e-6, 1e-19);
  EXPECT_NEAR(flow_m3ps(end, -2e5), -5e-6, 1e-19);
}

TEST(IdealEnd, ClosedPassesNothing) {
  EXPECT_EQ(flow_m3ps({.kind = EndKind::kClosed}, 1e7), 0.0);
  EXPECT_EQ(flow_m3ps({.kind = EndKind::kClosed}, -1e7), 0.0);
}

// p = p0: q = (F - p0)/Z.
TEST(IdealEnd, PressureIsHeld) {
  const IdealEnd end{.kind = EndKind::kPressure, .pressure_pa = 1e5};
  EXPECT_DOUBLE_EQ(flow_m3ps(end, 4e5), 1e-5);
  EXPECT_DOUBLE_EQ(flow_m3ps(end, -2e5), -1e-5);
}

TEST(IdealEnd, TheOrificeIsTheOutletItself) {
  RowUnitParams row;
  const OutletPlan<double> end = make_end_plan(row);
  const OutletPlan<double> outlet = make_outlet_plan(row.outlet, row.liquid);
  EXPECT_EQ(end.loss_pas2pm6, outlet.loss_pas2pm6);
  EXPECT_EQ(end.inverse_jet_area_pm2, outlet.inverse_jet_area_pm2);
}

}  // namespace
}  // namespace model
