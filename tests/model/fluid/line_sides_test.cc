// Rise, creep of the wall and gas along a line.
#include "model/fluid/line_sides.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>

#include "model/fluid/line.h"
#include "model/fluid/wave_speed.h"
#include "model/row/row_unit.h"
#include "tests/support/drive_row.h"

namespace model {
namespace {

constexpr double kStep_s = 1e-5;
constexpr int kCells = 200;
constexpr double kVapour_pa = -98985.7;  // water at 20 C, gauge

Line soft_tube() {
  Line tube{.length_m = 0.8, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  tube.wall = {.thickness_m = 1e-3, .modulus_pa = 1e9, .poisson_ratio = 0.45};
  return tube;
}

LinePlan<double> plan_of(const Line& tube, int stations, WallFriction friction, bool cavities,
                         double gas_pam3 = 0.0) {
  static const auto kernel = fit_kernel(6, 2.5e-6);
  return make_line_plan(tube, {},
                        {.cells = kCells,
                         .stations = stations,
                         .step_s = kStep_s,
                         .friction = friction,
                         .kernel = kernel,
                         .cavities = cavities,
                         .vapour_pressure_pa = kVapour_pa,
                         .middle_gas_pam3 = gas_pam3});
}

// One step between a pressure at the inlet and a shut outlet; returns what flowed in.
double push_m3(const LinePlan<double>& plan, LineState<double>& state, double inlet_pa,
               double outlet_m3ps = 0.0) {
  const auto in = arrivals(plan, state);
  depart(plan, state,
         {.at_inlet_pa = 2.0 * inlet_pa - in.at_inlet_pa,
          .at_outlet_pa = in.at_outlet_pa - 2.0 * plan.impedance_paspm3 * outlet_m3ps});
  return (inlet_pa - in.at_inlet_pa) * plan.step_over_impedance_m3ppa;
}

// --- rise

TEST(Rise, RestIsHydrostatic) {
  Line tube = soft_tube();
  tube.rise_m = 0.5;
  const auto plan = plan_of(tube, 12, WallFriction::kUnsteady, true);
  // rho g h = 998.207 * 9.80665 * 0.5 = 4894.53 Pa.
  EXPECT_NEAR(plan.outlet_head_pa, 4894.53, 0.01);
  auto state = still_line(plan, 1e5);
  for (int step = 0; step < 1000; ++step) EXPECT_EQ(push_m3(plan, state, 1e5), 0.0);
  EXPECT_EQ(arrivals(plan, state).at_outlet_pa - plan.outlet_head_pa, 1e5 - plan.outlet_head_pa);
}

TEST(Rise, ARowAtRestFeelsItsHeads) {
  RowUnitParams row = support::base_row();
  row.hose.rise_m = 0.4;
  row.tube.rise_m = -0.6;
  RowUnit unit(row, {}, 3e5);
  const double weight_papm = 1200.0 * 9.80665;
  RowStepOutput out;
  for (int i = 0; i < 5000; ++i) out = unit.step({.supply_pressure_pa = 3e5});
  EXPECT_NEAR(out.hose_end_pressure_pa, 3e5 - 0.4 * weight_papm, 1e-8);
  EXPECT_NEAR(out.valve_exit_pressure_pa, -0.6 * weight_papm, 1e-8);
  EXPECT_EQ(out.jet_volume_m3, 0.0);
  EXPECT_EQ(out.outlet_void_m3, 0.0);
}

// A siphon 12 m above a vessel at the atmosphere: the liquid boils above the height at which
// p_vap,abs is reached, 10.11 m by hand ((101325 - 2339.3)/(998.207 * 9.80665)), and not below it.
TEST(Rise, ASiphonBoilsAboveItsVapourHeight) {
  for (const int stations : {12, kCells - 1}) {
    Line tube{.length_m = 12.0, .bore_m = 4e-3, .wave_speed_mps = 6000.0};
    tube.rise_m = 12.0;
    const auto plan = plan_of(tube, stations, WallFriction::kNone, true);
    auto state = still_line(plan, 0.0);
    for (int step = 0; step < 30; ++step) push_m3(plan, state, 0.0);
    const double boils_m = 98985.7 / (998.207 * 9.80665);
    EXPECT_NEAR(boils_m, 10.11, 0.01);
    EXPECT_GT(line_cavity_volume_m3(state), 0.0) << stations;
    for (int j = 0; j < plan.stations; ++j) {
      const double height_m = 0.06 * segment_of(plan, j + 1).first_cell;
      if (height_m < boils_m - 2.1) {  // the wave from the boiling part has run 30 cells by then
        EXPECT_EQ(state.cavity_m3[static_cast<std::size_t>(j)], 0.0) << height_m;
      }
    }
    tube.rise_m = 9.0;
    const auto lower = plan_of(tube, stations, WallFriction::kNone, true);
    auto calm = still_line(lower, 0.0);
    for (int step = 0; step < 2000; ++step) push_m3(lower, calm, 0.0);
    EXPECT_EQ(line_cavity_volume_m3(calm), 0.0);
  }
}

// --- creep

TEST(Creep, WithoutComplianceItIsTheElasticLineBitForBit) {
  Line elastic = soft_tube();
  Line null = soft_tube();
  null.creep = {{.compliance_ppa = 0.0, .time_s = 0.05}, {.compliance_ppa = 0.0, .time_s = 1.5}};
  for (const bool cavities : {false, true}) {
    const auto plan_a = plan_of(elastic, 12, WallFriction::kUnsteady, cavities);
    const auto plan_b = plan_of(null, 12, WallFriction::kUnsteady, cavities);
    auto a = still_line(plan_a, 1e5);
    auto b = still_line(plan_b, 1e5);
    for (int step = 0; step < 20000; ++step) {
      const double outlet_m3ps = step % 4000 < 1500 ? 9e-6 : 0.0;
      ASSERT_EQ(push_m3(plan_a, a, 1e5, outlet_m3ps), push_m3(plan_b, b, 1e5, outlet_m3ps)) << step;
    }
    EXPECT_EQ(line_stored_volume_m3(plan_a, a), line_stored_volume_m3(plan_b, b));
  }
}

// After much longer than all relaxation times the wall has the strain psi p (J0 + sum J)/2. Twice
// this strain times the bore's volume is what the wall holds, the elastic part included.
TEST(Creep, StaticStrainIsThatOfAllCompliances) {
  Line tube = soft_tube();
  tube.creep = {{.compliance_ppa = 3e-10, .time_s = 2e-3},
                {.compliance_ppa = 5e-10, .time_s = 9e-3}};
  finish_line(tube, {}, shared::kStandardAtmosphere_pa);
  for (const int stations : {6, kCells - 1}) {
    const auto cells = static_cast<int>(std::lround(0.8 / (tube.wave_speed_mps * kStep_s)));
    const auto plan = make_line_plan(tube, {},
                                     {.cells = cells,
                                      .stations = std::min(stations, cells - 1),
                                      .step_s = 0.8 / (tube.wave_speed_mps * cells),
                                      .friction = WallFriction::kQuasiSteady});
    auto state = still_line(plan, 0.0);
    double in_m3 = 0.0;
    // A matched supply, so that waves die out at once.
    for (int step = 0; step < 60000; ++step) {
      const auto in = arrivals(plan, state);
      in_m3 += 0.5 * (2e5 - in.at_inlet_pa) * plan.step_over_impedance_m3ppa * 2.0 * 0.5;
      depart(plan, state, {.at_inlet_pa = 2e5, .at_outlet_pa = in.at_outlet_pa});
    }
    const double bore_m3 = 0.25 * shared::kPi_ratio * 16e-6 * 0.8;
    const double strain_ratio = wall_psi_ratio(4e-3, tube.wall) * 2e5 * (1e-9 + 8e-10) / 2.0;
    const double liquid_ratio = 2e5 / Liquid{}.bulk_modulus_pa;
    // Rounding to whole cells could change the wave speed and with it the elastic part: here it
    // does not.
    const double shift_ratio = plan.wave_speed_mps / tube.wave_speed_mps;
    EXPECT_NEAR(shift_ratio, 1.0, 1e-12);
    EXPECT_NEAR(
        line_stored_volume_m3(plan, state) / (bore_m3 * (2.0 * strain_ratio + liquid_ratio)), 1.0,
        1e-6);
    EXPECT_NEAR(in_m3 / line_stored_volume_m3(plan, state), 1.0, 1e-10);
  }
}

// Blocked end driven at its inlet: P2/P1 = 1/cosh(i w L/a(w)) with the complex wave speed
// a(w) = 1/sqrt(rho (1/K + psi (J0 + sum J_k/(1 + i w tau_k)))).
TEST(Creep, ADrivenLineHasTheComplexWaveSpeed) {
  Line tube = soft_tube();
  tube.length_m = 0.6;
  tube.creep = {{.compliance_ppa = 3e-10, .time_s = 0.5e-3},
                {.compliance_ppa = 2e-10, .time_s = 4e-3}};
  const Liquid water;
  finish_line(tube, water, shared::kStandardAtmosphere_pa);
  constexpr int kFine = 400;
  const double step_s = tube.length_m / (tube.wave_speed_mps * kFine);
  const auto plan = make_line_plan(
      tube, water,
      {.cells = kFine, .stations = kFine - 1, .step_s = step_s, .friction = WallFriction::kNone});
  for (const double frequency_hz : {20.0, 60.0, 150.0}) {
    const double w_radps = 2.0 * shared::kPi_ratio * frequency_hz;
    const std::complex<double> s(0.0, w_radps);
    std::complex<double> compliance_ppa = 1.0 / tube.wall.modulus_pa;
    for (const CreepElement& element : tube.creep)
      compliance_ppa += element.compliance_ppa / (1.0 + s * element.time_s);
    const std::complex<double> slowness =
        std::sqrt(water.density_kgpm3 *
                  (1.0 / water.bulk_modulus_pa + wall_psi_ratio(4e-3, tube.wall) * compliance_ppa));
    const std::complex<double> wanted = 1.0 / std::cosh(s * tube.length_m * slowness);
    auto state = still_line(plan, 0.0);
    std::complex<double> found = 0.0;
    const auto settle = static_cast<long>(0.25 / step_s);
    const auto period = 1.0 / (frequency_hz * step_s);
    const auto span = static_cast<long>(std::lround(10.0 * period));
    for (long step = 0; step < settle + span; ++step) {
      const auto in = arrivals(plan, state);
      const double phase_rad = w_radps * static_cast<double>(step) * step_s;
      if (step >= settle)
        found += in.at_outlet_pa * std::polar(2.0 / static_cast<double>(span), -phase_rad);
      depart(plan, state,
             {.at_inlet_pa = 2.0 * std::cos(phase_rad) - in.at_inlet_pa,
              .at_outlet_pa = in.at_outlet_pa});
    }
    std::printf("%.0f Hz: |P2/P1| %.5f wanted %.5f, %.2f and %.2f deg\n", frequency_hz,
                std::abs(found), std::abs(wanted), std::arg(found) * 57.29578,
                std::arg(wanted) * 57.29578);
    EXPECT_NEAR(std::abs(found) / std::abs(wanted), 1.0, 5e-3);
    EXPECT_NEAR(std::arg(found / wanted), 0.0, 5e-3);
  }
}

TEST(Creep, VolumeBalanceHoldsThroughVapour) {
  Line tube = soft_tube();
  tube.creep = {{.compliance_ppa = 3e-10, .time_s = 5e-3},
                {.compliance_ppa = 5e-10, .time_s = 0.3}};
  for (const int stations : {1, 12, kCells - 1}) {
    const auto plan = plan_of(tube, stations, WallFriction::kUnsteady, true);
    auto state = still_line(plan, 2e5);
    const double before_m3 = line_stored_volume_m3(plan, state);
    double in_m3 = 0.0;
    double out_m3 = 0.0;
    double most_m3 = 0.0;
    for (int step = 0; step < 20000; ++step) {
      const double outlet_m3ps = step % 4000 < 1500 ? 9e-6 : 0.0;
      in_m3 += push_m3(plan, state, 0.2e5, outlet_m3ps);
      out_m3 += outlet_m3ps * kStep_s;
      most_m3 = std::max(most_m3, line_cavity_volume_m3(state));
    }
    EXPECT_GT(most_m3, 0.0) << stations;
    EXPECT_NEAR(in_m3 - out_m3, line_stored_volume_m3(plan, state) - before_m3, 1e-11 * out_m3);
  }
}

// --- gas in the middle

TEST(MiddleGas, KeepsItsMassAndTheBalance) {
  constexpr double kGas_pam3 = 98985.7 * 5e-9;
  const auto plan = plan_of(soft_tube(), 12, WallFriction::kUnsteady, true, kGas_pam3);
  auto state = still_line(plan, 1e5);
  EXPECT_NEAR(state.pocket_m3 * (1e5 + 98985.7), kGas_pam3, 1e-12 * kGas_pam3);
  const double before_m3 = line_stored_volume_m3(plan, state);
  double in_m3 = 0.0;
  double out_m3 = 0.0;
  const auto j = static_cast<std::size_t>(plan.pocket_station);
  for (int step = 0; step < 40000; ++step) {
    const double outlet_m3ps = step % 4000 < 1500 ? 9e-6 : 0.0;
    const std::size_t row = ring_row(state.step, -plan.middle_delay, plan.row_mask) * plan.stride;
    const double sum_pa = state.downstream_pa[row + j] + state.upstream_pa[row + j + 1];
    const double old_m3 = state.pocket_m3;
    in_m3 += push_m3(plan, state, 1e5, outlet_m3ps);
    out_m3 += outlet_m3ps * kStep_s;
    ASSERT_GT(state.pocket_m3, 0.0);
    // The pressure of the waves, with the volume that the pocket gave them, times the gas' volume.
    const double pressure_pa =
        0.5 * (sum_pa + (state.pocket_m3 - old_m3) / plan.step_over_impedance_m3ppa);
    const double scale_pa = std::abs(sum_pa) +
                            std::abs(state.pocket_m3 - old_m3) / plan.step_over_impedance_m3ppa +
                            1e5;
    ASSERT_NEAR((pressure_pa + 98985.7) * state.pocket_m3, kGas_pam3,
                1e-12 * (scale_pa * state.pocket_m3 + kGas_pam3));
  }
  EXPECT_NEAR(in_m3 - out_m3, line_stored_volume_m3(plan, state) - before_m3, 1e-10 * out_m3);
}

}  // namespace
}  // namespace model
