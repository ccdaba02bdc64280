#include "model/row/row_unit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <limits>
#include <stdexcept>
#include <vector>

#include "model/denormals.h"
#include "tests/support/drive_row.h"

namespace model {
namespace {

RowStepInput drive(double supply_pa, bool on) {
  return {.supply_pressure_pa = supply_pa,
          .supply_voltage_v = 12.0,
          .drive_ratio = on ? 1.0 : 0.0,
          .fast_decay_ratio = on ? 0.0 : 1.0};
}

struct Balance {
  double in_m3 = 0.0;
  double jet_m3 = 0.0;
  double stored_m3 = 0.0;
  RowFault fault = RowFault::kNone;
  double error_ratio() const { return (in_m3 - jet_m3 - stored_m3) / jet_m3; }
};

/// Pulses of on_s at rate_hz for span_s with a supply that ripples.
Balance pass(const RowUnitParams& row, const SolverParams& solver, double span_s, double rate_hz,
             double on_s) {
  RowUnit unit(row, solver, 3e5);
  const double step_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const double before_m3 = unit.stored_volume_m3();
  const DenormalGuard guard;
  Balance balance;
  const auto steps = std::llround(span_s / step_s);
  const double period_s = 1.0 / rate_hz;
  double phase_s = 0.0;
  for (long long i = 0; i < steps; ++i) {
    const double ripple_pa = 9e3 * std::sin(125.66 * static_cast<double>(i) * step_s);
    const auto out = unit.step(drive(3e5 + ripple_pa, phase_s < on_s));
    balance.in_m3 += out.inlet_volume_m3;
    balance.jet_m3 += out.jet_volume_m3;
    if (out.fault != RowFault::kNone) {
      balance.fault = out.fault;
      break;
    }
    phase_s += step_s;
    if (phase_s >= period_s) phase_s -= period_s;
  }
  balance.stored_m3 = unit.stored_volume_m3() - before_m3;
  return balance;
}

TEST(RowUnit, AtRestAgainItIsAsNew) {
  RowUnit used(support::base_row(), {}, 2e5);
  for (int i = 0; i < 2000; ++i) used.step(drive(3e5, i < 700));
  used.come_to_rest(3e5);
  RowUnit fresh(support::base_row(), {}, 3e5);
  EXPECT_EQ(used.stored_volume_m3(), fresh.stored_volume_m3());
  EXPECT_EQ(used.step(drive(3e5, false)).jet_volume_m3, 0.0);
  fresh.step(drive(3e5, false));
  for (int i = 0; i < 1500; ++i) {
    const auto a = used.step(drive(3e5, i < 700)), b = fresh.step(drive(3e5, i < 700));
    ASSERT_EQ(a.jet_volume_m3, b.jet_volume_m3) << i;
    ASSERT_EQ(a.lift_m, b.lift_m) << i;
  }
}

TEST(RowUnit, VolumeBalanceClosesOverAMinute) {
  const auto balance = pass(support::base_row(), {}, 60.0, 37.0, 8e-3);
  std::printf("balance over a minute: %.2e of %.1f ml\n", balance.error_ratio(),
              1e6 * balance.jet_m3);
  RecordProperty("balance", std::to_string(balance.error_ratio()));
  EXPECT_EQ(balance.fault, RowFault::kNone);
  EXPECT_LT(std::abs(balance.error_ratio()), 1e-9);
}

TEST(RowUnit, VolumeBalanceClosesInEveryForm) {
  for (const LineForm form : {LineForm::kFast, LineForm::kDense})
    for (const bool cavities : {true, false})
      for (const double gas_m3 : {0.0, 5e-9}) {
        RowUnitParams row = support::base_row();
        row.tube = {.length_m = 0.3, .bore_m = 4e-3, .wave_speed_mps = 900.0};  // stiff: cavitates
        row.hose.length_m = 0.3;
        row.gas.volume_m3 = gas_m3;
        SolverParams solver;
        solver.form = form;
        solver.cavities = cavities;
        const auto balance = pass(row, solver, 0.4, 45.0, 6e-3);
        EXPECT_EQ(balance.fault, RowFault::kNone);
        EXPECT_LT(std::abs(balance.error_ratio()), 1e-11);
      }
}

TEST(RowUnit, LongOpenTendsToTheSteadyFlow) {
  for (const double viscosity_pas : {1e-3, 10e-3, 60e-3})
    for (const LineForm form : {LineForm::kFast, LineForm::kDense}) {
      RowUnitParams row = support::base_row();
      row.liquid.viscosity_pas = viscosity_pas;
      row.hose.length_m = 0.3;
      row.tube.length_m = 0.3;
      row.outlet.laminar_coefficient_ratio = 10.0;
      SolverParams solver;
      solver.form = form;
      RowUnit unit(row, solver, 3e5);
      RowStepOutput out;
      // Water keeps its boundary layer for r^2 / (26 nu) = 0.15 s; ten of them.
      const int steps = form == LineForm::kFast ? 400000 : 100000;
      for (int i = 0; i < steps; ++i) out = unit.step(drive(3e5, true));
      const double steady_m3ps = steady_flow_m3ps(row, 3e5, row.valve.plunger.travel_m);
      const double tolerance_ratio = form == LineForm::kFast ? 1e-7 : 3e-4;
      EXPECT_NEAR(out.outlet_flow_m3ps / steady_m3ps, 1.0, tolerance_ratio) << viscosity_pas;
      EXPECT_NEAR(out.valve_flow_m3ps / steady_m3ps, 1.0, tolerance_ratio) << viscosity_pas;
    }
}

// By hand for the base case with thin friction: K's of seat (0.6 mm) and outlet in series at 3 bar.
// Seat: Cd A = 0.65 * 3.99859e-6, outlet: 0.65 * 7.85398e-7 m2; friction 8 mu L/(pi r^4) of both
// lines 1.4324e9 + 3.144e8 = 1.7468e9; Q from 1.7468e9 Q + 2.3911e15 Q^2 = 3e5 is 1.0842e-5.
TEST(RowUnit, SteadyFlowOfTheBaseCase) {
  EXPECT_NEAR(steady_flow_m3ps(support::base_row(), 3e5, 0.6e-3), 1.084e-5, 2e-8);
  EXPECT_EQ(steady_flow_m3ps(support::base_row(), 3e5, 0.0), 0.0);
  EXPECT_EQ(steady_flow_m3ps(support::base_row(), 0.0, 0.6e-3), 0.0);
}

// Figures of the design notes: about 13 N/mm at 3 bar with a 3 mm seat, 19 at 5 bar with 4 mm.
TEST(RowUnit, LiftVerdictNeedsTheSpringOfTheNotes) {
  RowUnitParams row = support::base_row();
  const auto soft = lift_verdict(row, 3e5);
  EXPECT_NEAR(soft.spring_rate_needed_npm, 13e3, 1e3);
  EXPECT_FALSE(soft.settable);
  row.valve.plunger.spring_rate_npm = 15e3;
  EXPECT_TRUE(lift_verdict(row, 3e5).settable);
  row.valve.seat.diameter_m = 4e-3;
  row.outlet.bore_m = 1.7e-3;
  row.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
  row.hose.length_m = 0.3;
  EXPECT_NEAR(lift_verdict(row, 5e5).spring_rate_needed_npm, 18.5e3, 1.5e3);
}

// A gap g that the plunger closes pulls F = c y^2/2 and, at constant current, dF/dx = 2 F/(g - x).
// Without pressure the spring alone is held: 4 N + 2 N/mm 0.6 mm = 5.2 N at the stop, where the gap
// is 1.2 - 0.6 mm, so the magnet grows by 2 5.2 N/0.6 mm = 17.33 N/mm there.
TEST(RowUnit, LiftVerdictCountsTheGrowthOfTheMagnetsPull) {
  RowUnitParams row = support::base_row();
  row.valve.plunger.preload_n = 4.0;
  row.valve.plunger.spring_rate_npm = 2000.0;
  row.valve.plunger.travel_m = 0.6e-3;
  const double linear_npm = lift_verdict(row, 3e5).spring_rate_needed_npm;
  EXPECT_EQ(lift_verdict(row, 3e5).magnet_npm, 0.0);
  row.valve.coil.force_law = ForceLaw::kReluctance;
  row.valve.coil.reluctance = {.gap_m = 1.2e-3};
  const auto still = lift_verdict(row, 0.0);
  EXPECT_NEAR(still.magnet_npm, 17.333e3, 20.0);
  EXPECT_EQ(still.magnet_npm, still.spring_rate_needed_npm);
  row.valve.plunger.spring_rate_npm = linear_npm + 1e3;  // enough but for the magnet
  const auto pulled = lift_verdict(row, 3e5);
  EXPECT_FALSE(pulled.settable);
  EXPECT_GT(pulled.spring_rate_needed_npm, linear_npm + 5e3);
  row.valve.coil.force_law = ForceLaw::kLinear;
  EXPECT_TRUE(lift_verdict(row, 3e5).settable);
}

TEST(RowUnit, UnpoweredRowDeliversNothing) {
  RowUnit unit(support::base_row(), {}, 3e5);
  for (int i = 0; i < 2000; ++i) {
    const auto out = unit.step(drive(3e5, false));
    ASSERT_EQ(out.jet_volume_m3, 0.0);
    ASSERT_EQ(out.inlet_volume_m3, 0.0);
  }
  EXPECT_NEAR(unit.stored_volume_m3(), RowUnit(support::base_row(), {}, 3e5).stored_volume_m3(),
              1e-20);
}

TEST(RowUnit, MorePressureMoreLiquidAndEarlier) {
  const auto first_drop_s = [](double supply_pa, double& dose_m3) {
    RowUnit unit(support::base_row(), {}, supply_pa);
    double first_s = 0.0;
    dose_m3 = 0.0;
    for (int i = 0; i < 4000; ++i) {
      const auto out = unit.step(drive(supply_pa, i < 1690));
      dose_m3 += out.jet_volume_m3;
      if (first_s == 0.0 && out.outlet_flow_m3ps > 1e-6) first_s = 1e-5 * i;
    }
    return first_s;
  };
  double low_m3 = 0.0;
  double high_m3 = 0.0;
  first_drop_s(2e5, low_m3);
  first_drop_s(4e5, high_m3);
  // The dose grows as the root of pressure (1.41), and a little more as the column starts sooner.
  EXPECT_GT(high_m3 / low_m3, 1.35);
  EXPECT_LT(high_m3 / low_m3, 1.75);
}

TEST(RowUnit, SameInputSameBits) {
  const auto run = [] {
    RowUnit unit(support::base_row(), {}, 3e5);
    std::vector<double> jet_m3;
    for (int i = 0; i < 6000; ++i)
      jet_m3.push_back(unit.step(drive(3e5, i % 3333 < 1690)).jet_volume_m3);
    return jet_m3;
  };
  EXPECT_EQ(run(), run());
}

TEST(RowUnit, NotANumberIsAFaultAtOnce) {
  RowUnit unit(support::base_row(), {}, 3e5);
  for (int i = 0; i < 100; ++i) ASSERT_EQ(unit.step(drive(3e5, true)).fault, RowFault::kNone);
  auto bad = drive(std::numeric_limits<double>::quiet_NaN(), true);
  EXPECT_EQ(unit.step(bad).fault, RowFault::kNotANumber);
  RowUnit other(support::base_row(), {}, 3e5);
  bad = drive(3e5, true);
  bad.supply_voltage_v = std::numeric_limits<double>::infinity();
  bad.fast_decay_ratio = 0.5;
  EXPECT_EQ(other.step(bad).fault, RowFault::kNotANumber);
}

TEST(RowUnit, RefusesUnphysicalParts) {
  const auto refused = [](auto&& spoil) {
    RowUnitParams row = support::base_row();
    spoil(row);
    EXPECT_THROW(RowUnit(row, {}, 3e5), std::invalid_argument);
  };
  refused([](RowUnitParams& row) { row.liquid.density_kgpm3 = 0.0; });
  refused([](RowUnitParams& row) { row.liquid.viscosity_pas = -1e-3; });
  refused([](RowUnitParams& row) { row.liquid.vapour_pressure_abs_pa = 2e5; });
  refused([](RowUnitParams& row) { row.tube.bore_m = 0.0; });
  refused([](RowUnitParams& row) { row.hose.length_m = std::nan(""); });
  refused([](RowUnitParams& row) { row.valve.coil.inductance_h = 0.0; });
  refused([](RowUnitParams& row) { row.valve.plunger.restitution_ratio = 1.0; });
  refused([](RowUnitParams& row) { row.valve.seat.half_angle_rad = 2.0; });
  refused([](RowUnitParams& row) { row.outlet.bore_m = -1e-3; });
  refused([](RowUnitParams& row) { row.gas.volume_m3 = -1e-9; });
}

// A larger Coulomb friction, free gas and a laminar seat at once: nothing breaks, the volume
// balances.
TEST(RowUnit, HoldsWithEverythingOn) {
  RowUnitParams row = support::base_row();
  row.valve.plunger.coulomb_friction_n = 0.5;
  row.valve.plunger.damping_nspm = 1.0;
  row.valve.seat.laminar_coefficient_ratio = 10.0;
  row.valve.seat.flow_force_ratio = -1.0;
  row.outlet.laminar_coefficient_ratio = 10.0;
  row.gas.volume_m3 = 20e-9;
  const auto balance = pass(row, {}, 2.0, 60.0, 5e-3);
  EXPECT_EQ(balance.fault, RowFault::kNone);
  EXPECT_LT(std::abs(balance.error_ratio()), 1e-10);
}

}  // namespace
}  // namespace model
