// A tube alone between ideal ends: steady states, balance, pockets, and tubes that are refused.
#include "model/row/bare_tube.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "model/fluid/line.h"
#include "model/fluid/orifice.h"

namespace model {
namespace {

RowUnitParams tube_row() {
  RowUnitParams row;
  row.liquid.viscosity_pas = 10e-3;
  row.tube = {.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  row.outlet = {.bore_m = 1e-3, .discharge_coefficient_ratio = 0.65};
  return row;
}

SolverParams dense() { return {.form = LineForm::kDense, .step_ns = 15'000}; }

// Algebra: p = R Q + K Q^2, and the tube stays there when nothing changes.
TEST(BareTube, StandsStillInItsSteadyState) {
  const RowUnitParams row = tube_row();
  BareTube tube(row, {.kind = InletKind::kPressure}, dense(), 2e5);
  const double q_m3ps = tube.steady_flow_m3ps();
  const double chain_pa = laminar_resistance_paspm3(row.tube, row.liquid) * q_m3ps +
                          make_outlet_plan(row.outlet, row.liquid).loss_pas2pm6 * q_m3ps * q_m3ps;
  EXPECT_NEAR(chain_pa / 2e5, 1.0, 1e-10);
  for (int i = 0; i < 2000; ++i) {
    const RowStepOutput out = tube.step(2e5);
    ASSERT_NEAR(out.outlet_flow_m3ps / q_m3ps, 1.0, 1e-10) << i;
  }
}

// Full opening passes its flow at its drop: p_s - p = at (Q/flow)^2, in series with the tube.
TEST(BareTube, AnOpeningStandsInSeries) {
  const RowUnitParams row = tube_row();
  const IdealInlet inlet{
      .kind = InletKind::kOpening, .full_flow_m3ps = 20e-6, .full_drop_pa = 1e5, .supply_pa = 3e5};
  const BareTube tube(row, inlet, dense(), 0.5);
  const double q_m3ps = tube.steady_flow_m3ps();
  const double share_ratio = q_m3ps / 10e-6;
  EXPECT_NEAR((tube.steady_inlet_pressure_pa() + 1e5 * share_ratio * share_ratio) / 3e5, 1.0,
              1e-10);
  EXPECT_EQ(BareTube(row, inlet, dense(), 0.0).steady_flow_m3ps(), 0.0);
}

// inlet - outlet = stored, with vapour at the start and a void at the outlet.
TEST(BareTube, BalancesThroughCavityAndVoid) {
  BareTube tube(tube_row(), {.kind = InletKind::kFlow}, dense(), 12e-6);
  const double before_m3 = tube.stored_volume_m3();
  double in_m3 = 0.0, out_m3 = 0.0, cavity_m3 = 0.0, void_m3 = 0.0, passed_m3 = 0.0;
  for (int i = 0; i < 6000; ++i) {
    const RowStepOutput out = tube.step(i / 1000 % 2 == 0 ? 0.0 : 12e-6);
    ASSERT_EQ(out.fault, RowFault::kNone) << i;
    in_m3 += out.inlet_volume_m3;
    out_m3 += out.jet_volume_m3;
    passed_m3 += out.inlet_volume_m3 + out.jet_volume_m3;
    cavity_m3 = std::max(cavity_m3, out.valve_cavity_m3);
    void_m3 = std::max(void_m3, out.outlet_void_m3);
  }
  EXPECT_GT(cavity_m3, 0.0);
  EXPECT_GT(void_m3, 0.0);
  EXPECT_LE(std::abs(in_m3 - out_m3 - (tube.stored_volume_m3() - before_m3)), 1e-10 * passed_m3);
}

// (p - p_vap) V stays what it was: the amount of gas at the tube's start.
TEST(BareTube, KeepsTheGasThatItHolds) {
  RowUnitParams row = tube_row();
  row.gas = {.volume_m3 = 5e-9};
  const IdealInlet inlet{
      .kind = InletKind::kOpening, .full_flow_m3ps = 20e-6, .full_drop_pa = 1e5, .supply_pa = 3e5};
  BareTube tube(row, inlet, dense(), 0.0);
  const double vapour_pa = row.liquid.vapour_pressure_abs_pa - row.atmosphere_pa;
  for (int i = 0; i < 4000; ++i) {
    const RowStepOutput out = tube.step(i / 1000 % 2 == 0 ? 1.0 : 0.0);
    ASSERT_GT(out.valve_cavity_m3, 0.0);
    ASSERT_NEAR(
        (out.valve_exit_pressure_pa - vapour_pa) * out.valve_cavity_m3 / (-vapour_pa * 5e-9), 1.0,
        1e-9)
        << i;
  }
}

TEST(BareTube, RefusesWhatHasNoAnswer) {
  RowUnitParams row = tube_row();
  const IdealInlet flow{.kind = InletKind::kFlow};
  EXPECT_THROW(BareTube(row, flow, {.step_ns = 2'000'000}, 0.0), std::invalid_argument);
  row.end.kind = EndKind::kClosed;
  EXPECT_THROW(BareTube(row, flow, dense(), 1e-6), std::invalid_argument);
  row.end.kind = EndKind::kPressure;
  SolverParams frictionless = dense();
  frictionless.friction = WallFriction::kNone;
  EXPECT_THROW(BareTube(row, {.kind = InletKind::kPressure}, frictionless, 1e5),
               std::invalid_argument);
}

}  // namespace
}  // namespace model
