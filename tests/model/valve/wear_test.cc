#include "model/valve/wear.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/row/row_unit.h"
#include "model/valve/valve_node.h"

namespace model {
namespace {

// A check value of this project: an input of these tests that says nothing of any valve.
constexpr double kCheckLife = 8e6;

Wear half_worn() {
  return {.cycles_ratio = 0.25 * kCheckLife,
          .volume_m3 = 1.0,
          .life_cycles_ratio = kCheckLife,
          .life_volume_m3 = 4.0,
          .gap_at_life_m = 20e-6,
          .land_m = 1e-3};
}

// 0.25 by cycles and 1/4 by volume: 0.5. Twice as abrasive: 0.25 + 2/4 = 0.75.
TEST(Wear, SharesOfALifeAddUp) {
  EXPECT_DOUBLE_EQ(wear_share_ratio(half_worn(), 1.0), 0.5);
  EXPECT_DOUBLE_EQ(wear_share_ratio(half_worn(), 2.0), 0.75);
  EXPECT_DOUBLE_EQ(worn_gap_m(half_worn(), 1.0), 10e-6);
  EXPECT_EQ(leak_m3pspa({}, {}), 0.0);
}

TEST(Wear, ALifeThatIsNotKnownTakesNoPart) {
  Wear wear = half_worn();
  wear.life_volume_m3 = 0.0;
  EXPECT_DOUBLE_EQ(wear_share_ratio(wear, 5.0), 0.25);
  wear.life_cycles_ratio = 0.0;
  EXPECT_FALSE(life_known(wear));
  EXPECT_EQ(wear_share_ratio(wear, 5.0), 0.0);
  EXPECT_FALSE(life_left(wear, 1.0, {.pulse_rate_hz = 30.0}).known);
}

// The leak grows with the cube of the gap: a half worn valve leaks an eighth of a worn one.
TEST(Wear, TheLeakGrowsWithTheCubeOfTheShare) {
  Valve valve;
  valve.wear = half_worn();
  const double half = leak_m3pspa(valve, {});
  valve.wear.cycles_ratio = 0.75 * kCheckLife;
  EXPECT_NEAR(leak_m3pspa(valve, {}) / half, 8.0, 1e-12);
}

// By cycles alone, 30 per second at 16 km/h on a row of 0.762 m, 8 million from new:
// 8e6/30 = 266667 s = 74.07 h; 266667 s * 4.4444 m/s * 0.762 m = 903111 m2 = 90.31 ha; at
// 0.27 ml per pulse 2160 l.
TEST(Wear, LifeLeftByCyclesAlone) {
  const Wear wear{.life_cycles_ratio = kCheckLife};
  const Duty duty{
      .pulse_rate_hz = 30.0, .dose_m3 = 0.27e-6, .speed_mps = 16.0 / 3.6, .width_m = 0.762};
  const LifeLeft left = life_left(wear, 1.0, duty);
  EXPECT_TRUE(left.known);
  EXPECT_NEAR(left.cycles_ratio, 8e6, 1e-3);
  EXPECT_NEAR(left.time_s / 3600.0, 74.07, 0.01);
  EXPECT_NEAR(left.area_m2 / 1e4, 90.31, 0.01);
  EXPECT_NEAR(left.volume_m3 * 1e3, 2160.0, 1e-6);
}

// After running for the life that is left, the share is 1; then nothing is left, and never less.
TEST(Wear, WhatIsLeftEndsTheLife) {
  Wear wear = half_worn();
  const Duty duty{.pulse_rate_hz = 20.0, .dose_m3 = 0.4e-6, .speed_mps = 3.0, .width_m = 0.5};
  const LifeLeft left = life_left(wear, 1.7, duty);
  wear.cycles_ratio += left.cycles_ratio;
  wear.volume_m3 += left.volume_m3;
  EXPECT_NEAR(wear_share_ratio(wear, 1.7), 1.0, 1e-12);
  wear.cycles_ratio += 1e6;
  EXPECT_EQ(life_left(wear, 1.7, duty).cycles_ratio, 0.0);
}

// A new valve's smallest dose is the shortest dose; with wear it grows by what leaks in 1/30 s
// alone.
TEST(Wear, TheSmallestDoseGrowsWithWear) {
  Valve valve;
  const double dose_m3 = 40e-9;
  double before_m3 = smallest_dose_m3(leak_m3pspa(valve, {}) * 3e5, dose_m3, 30.0);
  EXPECT_DOUBLE_EQ(before_m3, 40e-9);
  for (const double share : {0.25, 0.5, 0.75, 1.0}) {
    valve.wear = {.cycles_ratio = share, .life_cycles_ratio = 1.0, .gap_at_life_m = 30e-6};
    const double leak_m3ps = leak_m3pspa(valve, {}) * 3e5;
    const double now_m3 = smallest_dose_m3(leak_m3ps, dose_m3, 30.0);
    EXPECT_GT(now_m3, before_m3);
    EXPECT_NEAR(30.0 * now_m3 - leak_m3ps, 1.2e-6, 1e-15);
    before_m3 = now_m3;
  }
}

// For any waves and lift: the laws of seat and annulus hold together at one pressure drop.
TEST(Wear, SeatAndLeakShareOneDrop) {
  SeatPlan<double> seat = make_seat_plan(Seat{}, Liquid{});
  seat.leak_m3pspa = 3e-11;
  const double line_paspm3 = 5.5e10;
  for (const double drop_pa : {-4e5, -10.0, 0.0, 1e3, 3e5, 2e6})
    for (const double lift_m : {0.0, 1e-5, 3e-4}) {
      const double flow_m3ps = valve_flow_m3ps(seat, lift_m, drop_pa, line_paspm3);
      const double across_pa = drop_pa - line_paspm3 * flow_m3ps;
      const double through_seat_m3ps = flow_m3ps - seat.leak_m3pspa * across_pa;
      if (lift_m == 0.0) {
        EXPECT_NEAR(through_seat_m3ps, 0.0, 1e-12 * std::abs(flow_m3ps) + 1e-30);
        continue;
      }
      EXPECT_NEAR(seat_drop_pa(seat, lift_m, through_seat_m3ps), across_pa,
                  1e-9 * std::abs(drop_pa) + 1e-9);
    }
}

// Shut for long: the tube runs full through the outlet, so leak and outlet are in series:
// g (p - p2) = q and p2 is the outlet's drop at q (both lines' friction is in it too, far smaller).
TEST(Wear, AShutRowWeepsWhatTheAnnulusPasses) {
  RowUnitParams row;
  row.hose = {.length_m = 0.2, .bore_m = 8e-3, .wave_speed_mps = 500.0};
  row.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
  row.valve.wear = {
      .cycles_ratio = 1.0, .life_cycles_ratio = 1.0, .gap_at_life_m = 40e-6, .land_m = 1e-3};
  const double conductance_m3pspa = leak_m3pspa(row.valve, row.liquid);
  const OutletPlan<double> outlet = make_outlet_plan(row.outlet, row.liquid);
  for (const LineForm form : {LineForm::kFast, LineForm::kDense}) {
    RowUnit unit(row, {.form = form, .step_ns = 50'000}, 3e5);
    RowStepOutput out;
    const double stored_m3 = unit.stored_volume_m3();
    double in_m3 = 0.0, jet_m3 = 0.0;
    for (int step = 0; step < 60'000; ++step) {
      out = unit.step({.supply_pressure_pa = 3e5});
      in_m3 += out.inlet_volume_m3;
      jet_m3 += out.jet_volume_m3;
    }
    EXPECT_NEAR(in_m3 - jet_m3, unit.stored_volume_m3() - stored_m3, 1e-10 * in_m3);
    const double q_m3ps = out.outlet_flow_m3ps;
    const double outlet_drop_pa = outlet.loss_pas2pm6 * q_m3ps * q_m3ps;
    EXPECT_GT(q_m3ps, 0.0);
    EXPECT_NEAR(q_m3ps / (conductance_m3pspa * (3e5 - outlet_drop_pa)), 1.0, 2e-3);
    EXPECT_EQ(out.lift_m, 0.0);
    if (form == LineForm::kFast) continue;
  }
}

}  // namespace
}  // namespace model
