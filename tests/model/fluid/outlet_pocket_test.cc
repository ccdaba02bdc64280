// Gas at the outlet of the column, and gas at each place of a row.
#include "model/fluid/outlet_pocket.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/row/row_unit.h"
#include "tests/support/drive_row.h"

namespace model {
namespace {

constexpr double kVapour_pa = -98985.7;
const OutletPlan<double> kOutlet = make_outlet_plan({}, {});
constexpr OutletStep<double> kStep{.impedance_paspm3 = 3e10,
                                   .step_over_impedance_m3ppa = 1e-5 / 3e10,
                                   .step_s = 1e-5,
                                   .per_step_ps = 1e5};

TEST(OutletPocket, KeepsMassAndVolumeUnderAnySqueeze) {
  const auto pocket = make_outlet_pocket(98985.7 * 2e-9, kVapour_pa);
  EXPECT_NEAR(pocket.still_m3, 2e-9, 1e-21);
  double void_m3 = 0.0;
  double gas_m3 = pocket.still_m3;
  for (int i = 0; i < 5000; ++i) {
    const double f_pa = 4e5 * std::sin(2e-2 * i) + 1e5;
    const double before_m3 = void_m3 + gas_m3;
    const auto end = pass_outlet_pocket(kOutlet, kStep, pocket, f_pa, void_m3, gas_m3);
    void_m3 = end.void_m3;
    ASSERT_GE(void_m3, 0.0);
    ASSERT_GT(gas_m3, 0.0);
    ASSERT_LE(gas_m3, pocket.still_m3);
    ASSERT_GE(end.jet_m3, 0.0);
    const double moved_m3 = end.flow_m3ps * 1e-5 - end.jet_m3;
    ASSERT_NEAR(moved_m3, before_m3 - void_m3 - gas_m3, 1e-12 * (before_m3 + std::abs(moved_m3)));
    // p V of the gas by the line's own pressure F - Z q.
    const double pressure_pa = f_pa - 3e10 * end.flow_m3ps;
    ASSERT_NEAR((pressure_pa - kVapour_pa) * gas_m3 / pocket.pam3, 1.0, 1e-10) << i;
    // Its pressure drives the jet by the orifice's law, as far as four passes settle it.
    if (end.jet_m3 > 0.0) {
      const double jet_m3ps = end.jet_flow_m3ps;
      const double drop_pa =
          kOutlet.loss_pas2pm6 * jet_m3ps * jet_m3ps + kOutlet.laminar_paspm3 * jet_m3ps;
      ASSERT_NEAR(drop_pa, pressure_pa, 1e-6 * 5e5) << i;
    }
  }
}

TEST(OutletPocket, ATinyOneIsNone) {
  const double tube_m3 = 1.1e-5;
  const auto pocket = make_outlet_pocket(98985.7 * 1e-7 * tube_m3 * 1e-3, kVapour_pa);
  double gas_m3 = pocket.still_m3;
  pass_outlet_pocket(kOutlet, kStep, pocket, 3e5, 0.0, gas_m3);  // squeezes it first
  const auto with = pass_outlet_pocket(kOutlet, kStep, pocket, 3e5, 0.0, gas_m3);
  const auto without = pass_column_end(kOutlet, kStep, 3e5, 0.0, true);
  EXPECT_NEAR(with.jet_m3 / without.jet_m3, 1.0, 1e-6);
  EXPECT_NEAR(with.flow_m3ps / without.flow_m3ps, 1.0, 1e-6);
}

struct Pass {
  double in_m3 = 0.0;
  double jet_m3 = 0.0;
  double stored_m3 = 0.0;
  RowFault fault = RowFault::kNone;
};

Pass pulses(const RowUnitParams& row, const SolverParams& solver) {
  RowUnit unit(row, solver, 3e5);
  const double step_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const double before_m3 = unit.stored_volume_m3();
  Pass pass;
  for (int i = 0; static_cast<double>(i) * step_s < 0.3; ++i) {
    const bool on = std::fmod(static_cast<double>(i) * step_s, 1.0 / 30.0) < 10e-3;
    const auto out = unit.step({.supply_pressure_pa = 3e5,
                                .supply_voltage_v = 12.0,
                                .drive_ratio = on ? 1.0 : 0.0,
                                .fast_decay_ratio = on ? 0.0 : 1.0});
    pass.in_m3 += out.inlet_volume_m3;
    pass.jet_m3 += out.jet_volume_m3;
    if (out.fault != RowFault::kNone) pass.fault = out.fault;
  }
  pass.stored_m3 = unit.stored_volume_m3() - before_m3;
  return pass;
}

TEST(GasPlaces, VolumeBalanceClosesAtEveryPlaceWithRiseAndCreep) {
  for (const LineForm form : {LineForm::kFast, LineForm::kDense})
    for (const GasPlace place : {GasPlace::kValveExit, GasPlace::kMiddle, GasPlace::kOutlet})
      for (const double rise_m : {-0.3, 0.0, 0.5}) {
        RowUnitParams row = support::base_row();
        row.hose.length_m = 0.3;
        row.tube.length_m = 0.3;
        row.tube.rise_m = rise_m;
        row.tube.wall = {.thickness_m = 1e-3, .modulus_pa = 1e9};
        row.tube.creep = {{.compliance_ppa = 1e-10, .time_s = 5e-3}};
        row.gas = {.volume_m3 = 5e-9, .place = place};
        SolverParams solver;
        solver.form = form;
        const Pass pass = pulses(row, solver);
        EXPECT_EQ(pass.fault, RowFault::kNone);
        EXPECT_GT(pass.jet_m3, 1e-7);
        EXPECT_NEAR(pass.in_m3 - pass.jet_m3, pass.stored_m3, 1e-10 * pass.jet_m3);
      }
}

// Gas of 1e-7 of the tube's volume must give the same as a row without gas.
TEST(GasPlaces, TinyPocketsAreNone) {
  RowUnitParams row = support::base_row();
  const double dry_m3 = pulses(row, {}).jet_m3;
  for (const GasPlace place : {GasPlace::kValveExit, GasPlace::kMiddle, GasPlace::kOutlet}) {
    row.gas = {.volume_m3 = 1e-7 * 1.131e-5, .place = place};
    EXPECT_NEAR(pulses(row, {}).jet_m3 / dry_m3, 1.0, 1e-3) << static_cast<int>(place);
  }
}

TEST(GasPlaces, SideWorkWithoutAStationIsRefused) {
  RowUnitParams row = support::base_row();
  row.gas = {.volume_m3 = 1e-9, .place = GasPlace::kMiddle};
  SolverParams solver;
  solver.tube_stations = 0;
  EXPECT_THROW(RowUnit(row, solver, 3e5), std::invalid_argument);
  row.gas.place = GasPlace::kOutlet;
  solver.outlet_void = false;
  EXPECT_THROW(RowUnit(row, solver, 3e5), std::invalid_argument);
}

}  // namespace
}  // namespace model
