#include "model/valve/valve_node.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

const Liquid kWater;
constexpr double kStep_s = 1e-5;
constexpr double kVapour_pa = -99000.0;

NodePlan<double> node_plan(double gas_pam3 = 0.0) {
  const double hose_paspm3 = 2e10;
  const double tube_paspm3 = 3.5e10;
  return {.hose_paspm3 = hose_paspm3,
          .tube_paspm3 = tube_paspm3,
          .sum_paspm3 = hose_paspm3 + tube_paspm3,
          .step_over_hose_m3ppa = kStep_s / hose_paspm3,
          .step_over_tube_m3ppa = kStep_s / tube_paspm3,
          .step_s = kStep_s,
          .per_step_ps = 1.0 / kStep_s,
          .hose_vapour_pa = kVapour_pa,
          .tube_vapour_pa = kVapour_pa,
          .gas_pam3 = gas_pam3,
          .gas = gas_pam3 > 0.0};
}

TEST(ValveNode, WithoutCavitiesBothLinesCarryTheSameFlow) {
  const auto plan = node_plan();
  const auto seat = make_seat_plan(Seat{}, kWater);
  SeatView<double> view;
  const auto node = solve_node(plan, seat, 4e5, 1e5, 3e-4, 0.2, {}, view);
  EXPECT_EQ(node.hose_m3ps, node.tube_m3ps);
  EXPECT_NEAR(node.tube_m3ps, node.seat_m3ps - seat.area_m2 * 0.2, 1e-18);
  EXPECT_NEAR(seat_drop_pa(seat, 3e-4, node.seat_m3ps), node.hose_pa - node.tube_pa, 1e-3);
}

TEST(ValveNode, ShutSeatReflectsBothWaves) {
  SeatView<double> view;
  const auto node =
      solve_node(node_plan(), make_seat_plan(Seat{}, kWater), 4e5, 1e5, 0.0, 0.0, {}, view);
  EXPECT_EQ(node.seat_m3ps, 0.0);
  EXPECT_EQ(node.hose_pa, 4e5);
  EXPECT_EQ(node.tube_pa, 1e5);
}

/// For any waves: pockets >= 0, pressures >= vapour, one of them at its limit, flows balance, and
/// the seat's law holds (with gas to the accuracy of its linearisation).
void expect_lawful(double gas_pam3, double law_tolerance_ratio) {
  const auto plan = node_plan(gas_pam3);
  const auto seat = make_seat_plan(Seat{}, kWater);
  Pockets<double> pockets;
  if (plan.gas) pockets.tube_m3 = -gas_pam3 / kVapour_pa;
  int vapour_steps = 0;
  for (int i = 0; i < 50000; ++i) {
    const double f_pa = 2e5 + 5e5 * std::sin(0.0131 * i) + 2e5 * std::sin(0.117 * i);
    const double g_pa = 3e5 * std::sin(0.0173 * i) + 1e5 * std::sin(0.091 * i);
    const double lift_m = std::max(0.0, 6e-4 * std::sin(0.0047 * i));
    SeatView<double> view;
    const auto node = solve_node(plan, seat, f_pa, g_pa, lift_m, 0.0, pockets, view);
    ASSERT_GE(node.pockets.hose_m3, 0.0);
    ASSERT_GE(node.pockets.tube_m3, 0.0);
    ASSERT_GE(node.hose_pa, kVapour_pa - 1e-6);
    ASSERT_GE(node.tube_pa, kVapour_pa - 1e-6);
    if (!plan.gas && node.pockets.tube_m3 > 0.0) {
      ASSERT_NEAR(node.tube_pa, kVapour_pa, 1e-6);
      ++vapour_steps;
    }
    if (plan.gas) {
      ASSERT_NEAR((node.tube_pa - kVapour_pa) * node.pockets.tube_m3 / gas_pam3, 1.0, 1e-9);
    }
    const double grown_m3 =
        node.pockets.tube_m3 + node.pockets.hose_m3 - pockets.tube_m3 - pockets.hose_m3;
    ASSERT_NEAR((node.tube_m3ps - node.hose_m3ps) * kStep_s, grown_m3, 1e-22);
    if (lift_m > 1e-6) {
      const double drop_pa = node.hose_pa - node.tube_pa;
      ASSERT_NEAR(seat_drop_pa(seat, lift_m, node.seat_m3ps), drop_pa,
                  law_tolerance_ratio * (std::abs(drop_pa) + 1e5))
          << i;
    }
    pockets = node.pockets;
  }
  if (!plan.gas) {
    EXPECT_GT(vapour_steps, 100);  // the case occurred
  }
}

TEST(ValveNode, VapourObeysItsLawsForAnyWaves) { expect_lawful(0.0, 1e-6); }
TEST(ValveNode, GasObeysItsLawsForAnyWaves) { expect_lawful(1e5 * 5e-9, 1e-3); }

}  // namespace
}  // namespace model
