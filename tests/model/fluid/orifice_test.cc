#include "model/fluid/orifice.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

const Liquid kWater;
const Seat kSeat;
constexpr double kLine_paspm3 = 5e10;

TEST(Seat, ShutPassesNothing) {
  const auto seat = make_seat_plan(kSeat, kWater);
  EXPECT_EQ(seat_flow_m3ps(seat, 0.0, 5e5, kLine_paspm3), 0.0);
  EXPECT_EQ(seat_flow_m3ps(seat, 0.0, 5e5, 0.0), 0.0);
}

TEST(Seat, NoDropNoFlow) {
  EXPECT_EQ(seat_flow_m3ps(make_seat_plan(kSeat, kWater), 3e-4, 0.0, kLine_paspm3), 0.0);
  EXPECT_EQ(seat_flow_m3ps(make_seat_plan(kSeat, kWater), 3e-4, 0.0, 0.0), 0.0);
}

TEST(Seat, BothWaysAlike) {
  const auto seat = make_seat_plan(kSeat, kWater);
  for (const double lift_m : {1e-6, 1e-4, 6e-4})
    EXPECT_EQ(seat_flow_m3ps(seat, lift_m, 2e5, kLine_paspm3),
              -seat_flow_m3ps(seat, lift_m, -2e5, kLine_paspm3));
}

TEST(Seat, FlowAndDropAgree) {
  Seat laminar = kSeat;
  laminar.laminar_coefficient_ratio = 12.0;
  for (const Seat& kind : {kSeat, laminar}) {
    const auto seat = make_seat_plan(kind, kWater);
    for (const double lift_m : {1e-6, 2e-5, 6e-4, 2e-3})
      for (const double drop_pa : {-5e5, 1.0, 3e5}) {
        const double q_m3ps = seat_flow_m3ps(seat, lift_m, drop_pa, kLine_paspm3);
        EXPECT_NEAR(seat_drop_pa(seat, lift_m, q_m3ps) + kLine_paspm3 * q_m3ps, drop_pa,
                    1e-9 * std::abs(drop_pa))
            << lift_m << " " << drop_pa;
      }
  }
}

// By hand, from Q = Cd A sqrt(2 dp / rho): A = pi * 3 mm * 0.5 mm * sin 45 = 3.33216 mm2, 1 bar,
// Cd 0.65: 0.65 * 3.33216e-6 * sqrt(2e5 / 998.207) = 3.06580e-5 m3/s.
TEST(Seat, WithoutLinesItIsTheOrificeEquation) {
  EXPECT_NEAR(seat_flow_m3ps(make_seat_plan(kSeat, kWater), 5e-4, 1e5, 0.0), 3.06580e-5, 1e-10);
}

// Gap's area pi d x sin(alpha) passes the bore's pi d^2/4 at x = d/(4 sin(alpha)): exact.
TEST(Seat, BoreLimitsHighLifts) {
  const auto seat = make_seat_plan(kSeat, kWater);
  const double edge_m = 3e-3 / (4.0 * std::sqrt(0.5));
  EXPECT_NEAR(seat_flow_m3ps(seat, edge_m, 1e5, 0.0), seat_flow_m3ps(seat, 2.0 * edge_m, 1e5, 0.0),
              1e-18);
  EXPECT_LT(seat_flow_m3ps(seat, 0.99 * edge_m, 1e5, 0.0), seat_flow_m3ps(seat, edge_m, 1e5, 0.0));
}

TEST(Seat, ShutForceIsAreaTimesDrop) {
  const auto seat = make_seat_plan(kSeat, kWater);
  const double area_m2 = shared::kPi_ratio * 9e-6 / 4.0;
  EXPECT_NEAR(seat_force_n(seat, 0.0, 3e5), area_m2 * 3e5, 1e-12);
  EXPECT_LT(seat_force_n(seat, 3e-4, 3e5), area_m2 * 3e5);  // c_f = 1 relieves the open plunger
}

// By hand: d 1 mm, Cd 0.65, 2 bar of water: 0.65 * 7.85398e-7 * sqrt(4e5 / 998.207) = 1.02193e-5.
TEST(Outlet, WithoutALineItIsTheOrificeEquation) {
  const auto outlet = make_outlet_plan(Outlet{}, kWater);
  EXPECT_NEAR(outlet_flow_m3ps(outlet, 2e5, 0.0), 1.02193e-5, 1e-10);
}

TEST(Outlet, AnswersTheArrivingWave) {
  Outlet laminar;
  laminar.laminar_coefficient_ratio = 20.0;
  const auto outlet = make_outlet_plan(laminar, kWater);
  for (const double f_pa : {1.0, 1e4, 6e5}) {
    const double q_m3ps = outlet_flow_m3ps(outlet, f_pa, kLine_paspm3);
    const double law_pa = outlet.loss_pas2pm6 * q_m3ps * q_m3ps + outlet.laminar_paspm3 * q_m3ps;
    EXPECT_NEAR(law_pa, f_pa - kLine_paspm3 * q_m3ps, 1e-9 * f_pa);
  }
}

}  // namespace
}  // namespace model
