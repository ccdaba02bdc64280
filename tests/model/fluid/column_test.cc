#include "model/fluid/column.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

constexpr double kStep_s = 1e-5;
constexpr double kImpedance_paspm3 = 3e10;
const OutletStep<double> kEnd = {.impedance_paspm3 = kImpedance_paspm3,
                                 .step_over_impedance_m3ppa = kStep_s / kImpedance_paspm3,
                                 .step_s = kStep_s,
                                 .per_step_ps = 1.0 / kStep_s};

TEST(Column, FullColumnJets) {
  const auto outlet = make_outlet_plan(Outlet{}, Liquid{});
  const auto end = pass_column_end(outlet, kEnd, 2e5, 0.0, true);
  EXPECT_NEAR(end.flow_m3ps, outlet_flow_m3ps(outlet, 2e5, kImpedance_paspm3), 1e-18);
  EXPECT_NEAR(end.jet_m3, end.flow_m3ps * kStep_s, 1e-25);
  EXPECT_EQ(end.void_m3, 0.0);
}

TEST(Column, RetreatLeavesAVoidAndNoJet) {
  const auto end = pass_column_end(make_outlet_plan(Outlet{}, Liquid{}), kEnd, -1e5, 0.0, true);
  EXPECT_EQ(end.jet_m3, 0.0);
  EXPECT_EQ(end.jet_flow_m3ps, 0.0);
  EXPECT_NEAR(end.void_m3, 1e5 / kImpedance_paspm3 * kStep_s, 1e-24);
  EXPECT_NEAR(end.flow_m3ps * kStep_s, -end.void_m3, 1e-24);
}

TEST(Column, RefillAndJetShareTheStep) {
  const auto outlet = make_outlet_plan(Outlet{}, Liquid{});
  const double f_pa = 1e5;
  const double whole_m3 = f_pa / kImpedance_paspm3 * kStep_s;
  const double void_m3 = 0.25 * whole_m3;  // a quarter of the step refills
  const auto end = pass_column_end(outlet, kEnd, f_pa, void_m3, true);
  EXPECT_EQ(end.void_m3, 0.0);
  EXPECT_NEAR(end.jet_m3, 0.75 * kStep_s * outlet_flow_m3ps(outlet, f_pa, kImpedance_paspm3),
              1e-12 * whole_m3);
  EXPECT_NEAR(end.flow_m3ps * kStep_s, void_m3 + end.jet_m3, 1e-12 * whole_m3);
}

TEST(Column, VolumeIsConservedForAnyWaves) {
  const auto outlet = make_outlet_plan(Outlet{}, Liquid{});
  double void_m3 = 0.0;
  double moved_m3 = 0.0;
  double jet_m3 = 0.0;
  for (int i = 0; i < 100000; ++i) {
    // A sum of two waves that never repeat together.
    const double f_pa = 1e5 * (std::sin(0.013 * i) + std::sin(0.0371 * i));
    const auto end = pass_column_end(outlet, kEnd, f_pa, void_m3, true);
    EXPECT_GE(end.void_m3, 0.0);
    EXPECT_GE(end.jet_m3, 0.0);
    void_m3 = end.void_m3;
    moved_m3 += end.flow_m3ps * kStep_s;
    jet_m3 += end.jet_m3;
  }
  EXPECT_NEAR(moved_m3, jet_m3 - void_m3, 1e-12 * jet_m3);
}

TEST(Column, WithoutVoidsBothWaysAreAlike) {
  const auto outlet = make_outlet_plan(Outlet{}, Liquid{});
  const auto out = pass_column_end(outlet, kEnd, 1e5, 0.0, false);
  const auto in = pass_column_end(outlet, kEnd, -1e5, 0.0, false);
  EXPECT_EQ(out.flow_m3ps, -in.flow_m3ps);
  EXPECT_EQ(out.jet_m3, -in.jet_m3);
}

}  // namespace
}  // namespace model
