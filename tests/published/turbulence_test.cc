// Friction over laminar, transition and turbulence, and how the memory of the wall shrinks in it.
//
// Source   laminar 64/Re; H. Blasius 1913, 0.3164/Re^0.25 for 4000 < Re < 1e5; L. Prandtl's smooth
//          law 1/sqrt(f) = 2 log10(Re sqrt(f)) - 0.8: textbooks, from memory. Churchill's formula
//          is an interpolation: some per cent of either is its known accuracy
//          C*: A. E. Vardy, J. M. B. Brown 2003, worked by hand below
#include "model/fluid/turbulence.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/fluid/friction_factor.h"
#include "model/row/row_unit.h"
#include "shared/units.h"
#include "tests/support/drive_row.h"

namespace model {
namespace {

double friction_ratio(double reynolds_ratio) {
  return 64.0 / reynolds_ratio +
         turbulence_at(reynolds_ratio).extra_ratio / (reynolds_ratio * reynolds_ratio);
}

double memory_loss_ratio(double reynolds_ratio) { return turbulence_at(reynolds_ratio).loss_ratio; }

TEST(Turbulence, SlowFlowIsLaminar) {
  for (const double reynolds_ratio : {1.0, 100.0, 999.9, 1000.0}) {
    EXPECT_EQ(turbulence_at(reynolds_ratio).extra_ratio, 0.0);
    EXPECT_EQ(turbulence_at(reynolds_ratio).loss_ratio, 0.0);
    EXPECT_EQ(churchill_ratio(reynolds_ratio), 64.0 / reynolds_ratio);
  }
  EXPECT_NEAR(friction_ratio(1500.0) * 1500.0 / 64.0, 1.0, 1e-4);
  EXPECT_NEAR(friction_ratio(2000.0) * 2000.0 / 64.0, 1.0, 0.02);
}

TEST(Turbulence, FastFlowIsBlasiusAndPrandtl) {
  for (const double reynolds_ratio : {5e3, 1e4, 2e4, 5e4, 1e5}) {
    EXPECT_NEAR(friction_ratio(reynolds_ratio) / (0.3164 / std::pow(reynolds_ratio, 0.25)), 1.0,
                0.04)
        << reynolds_ratio;
  }
  for (const double reynolds_ratio : {5e3, 1e4, 1e5, 1e6}) {
    double f_ratio = 0.02;
    for (int pass = 0; pass < 60; ++pass) {
      const double root_ratio = 2.0 * std::log10(reynolds_ratio * std::sqrt(f_ratio)) - 0.8;
      f_ratio = 1.0 / (root_ratio * root_ratio);
    }
    EXPECT_NEAR(friction_ratio(reynolds_ratio) / f_ratio, 1.0, 0.03) << reynolds_ratio;
  }
}

// No jump anywhere: halving the step in Re halves the largest difference.
TEST(Turbulence, NothingJumpsThroughTheTransition) {
  const auto largest_ratio = [](auto law, double step_ratio) {
    double most_ratio = 0.0;
    for (double re_ratio = 900.0; re_ratio < 22000.0; re_ratio += step_ratio)
      most_ratio = std::max(most_ratio, std::abs(law(re_ratio + step_ratio) - law(re_ratio)));
    return most_ratio;
  };
  double before_f_ratio = largest_ratio(friction_ratio, 8.0);
  double before_loss_ratio = largest_ratio(memory_loss_ratio, 8.0);
  for (const double step_ratio : {4.0, 2.0, 1.0}) {
    const double f_ratio = largest_ratio(friction_ratio, step_ratio);
    const double loss_ratio = largest_ratio(memory_loss_ratio, step_ratio);
    EXPECT_NEAR(f_ratio / before_f_ratio, 0.5, 0.02);
    EXPECT_NEAR(loss_ratio / before_loss_ratio, 0.5, 0.02);
    before_f_ratio = f_ratio;
    before_loss_ratio = loss_ratio;
  }
}

TEST(Turbulence, TheTableIsTheFormula) {
  for (double re_ratio = 1001.3; re_ratio < 30000.0; re_ratio += 7.7)
    EXPECT_NEAR(friction_ratio(re_ratio) / churchill_ratio(re_ratio), 1.0, 1e-8) << re_ratio;
}

// Re = 2300: 2300^0.0567 = e^(0.0567 * 7.74066) = 1.55097, kappa = log10(9.85835) = 0.993804,
// C* = 12.86/e^(0.993804 * 7.74066) = 12.86/2192.3 = 5.8660e-3. Re = 1e4: 1e4^0.0567 = 1.68578,
// kappa = log10(9.07000) = 0.957607, C* = 12.86/10^3.830429 = 1.9003e-3.
TEST(Turbulence, MemoryTimesByHand) {
  EXPECT_NEAR(memory_time_ratio(2300.0), 5.866e-3, 2e-6);
  EXPECT_NEAR(memory_time_ratio(1e4), 1.9003e-3, 1e-6);
}

// Water in 4 mm: 2 bar over the 1 mm outlet alone is 1.0219e-5 m3/s, Re 3242 (worked outside).
TEST(Turbulence, TheBaseTubeWithWaterIsTransitional) {
  const Line tube{.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  const Liquid water;
  const double flow_m3ps = 1.0219e-5;
  const double speed_mps = flow_m3ps / (0.25 * shared::kPi_ratio * 16e-6);
  EXPECT_NEAR(speed_mps, 0.8132, 1e-4);
  const double re_ratio = speed_mps * 4e-3 * water.density_kgpm3 / water.viscosity_pas;
  EXPECT_NEAR(re_ratio, 3242.0, 1.0);
  const double whole_pa = laminar_resistance_paspm3(tube, water) * flow_m3ps +
                          turbulent_drop_pa(tube, water, flow_m3ps);
  EXPECT_NEAR(whole_pa / (churchill_ratio(re_ratio) * 0.6 / 4e-3 * 0.5 * water.density_kgpm3 *
                          speed_mps * speed_mps),
              1.0, 1e-8);
  EXPECT_EQ(turbulent_drop_pa(tube, water, -flow_m3ps), -turbulent_drop_pa(tube, water, flow_m3ps));
}

LinePlan<double> water_line(int cells, const std::vector<KernelTerm>& kernel) {
  const Line tube{.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  return make_line_plan(tube, {},
                        {.cells = cells,
                         .stations = cells - 1,
                         .step_s = 0.6 / (400.0 * cells),
                         .kernel = kernel,
                         .turbulence = true});
}

// Shut at the outlet, constant pressure at the inlet: the sloshing column must lose energy, and
// more than the laminar law takes.
TEST(Turbulence, EnergyFallsAfterShutOff) {
  const auto kernel = fit_kernel(6, 1e-5);
  const auto plan = water_line(100, kernel);
  auto state = steady_line(plan, 0.0, 3e-5);
  double before_pa2 = 1e300;
  for (int round = 0; round < 20; ++round) {
    for (int step = 0; step < 400; ++step) {
      const auto in = arrivals(plan, state);
      depart(plan, state, {.at_inlet_pa = -in.at_inlet_pa, .at_outlet_pa = in.at_outlet_pa});
    }
    double energy_pa2 = 0.0;
    for (const double wave_pa : state.downstream_pa) energy_pa2 += wave_pa * wave_pa;
    for (const double wave_pa : state.upstream_pa) energy_pa2 += wave_pa * wave_pa;
    EXPECT_LT(energy_pa2, before_pa2) << round;
    before_pa2 = energy_pa2;
  }
}

// The extra drop lags by one step: halving the step must halve the difference of a ring.
TEST(Turbulence, TheLagIsOfFirstOrder) {
  const auto pressure_after_pa = [](int cells) {
    const auto kernel = fit_kernel(6, 1e-5);
    const auto plan = water_line(cells, kernel);
    auto state = steady_line(plan, 0.0, 3e-5);
    for (int step = 0; step < 9 * cells / 2; ++step) {
      const auto in = arrivals(plan, state);
      depart(plan, state, {.at_inlet_pa = -in.at_inlet_pa, .at_outlet_pa = in.at_outlet_pa});
    }
    return arrivals(plan, state).at_outlet_pa;
  };
  const double a_pa = pressure_after_pa(80);
  const double b_pa = pressure_after_pa(160);
  const double c_pa = pressure_after_pa(320);
  std::printf("after 4.5 lines: %.1f %.1f %.1f Pa at 80, 160, 320 cells\n", a_pa, b_pa, c_pa);
  EXPECT_LT(std::abs(c_pa - b_pa), 0.75 * std::abs(b_pa - a_pa));
  EXPECT_LT(std::abs(c_pa - b_pa), 0.01 * std::abs(c_pa));
}

// A row is kept open with water: the steady chain of pressures adds up, and the row settles to it.
TEST(Turbulence, TheSteadyChainHoldsAndTheRowComesToIt) {
  RowUnitParams row = support::base_row();
  row.liquid = Liquid{};
  row.hose.length_m = 0.3;
  row.tube.length_m = 0.3;
  row.tube.rise_m = 0.2;
  row.hose.rise_m = 0.1;
  const double lift_m = row.valve.plunger.travel_m;
  const double flow_m3ps = steady_flow_m3ps(row, 3e5, lift_m);
  const double re_ratio = 4.0 * flow_m3ps * row.liquid.density_kgpm3 /
                          (shared::kPi_ratio * row.tube.bore_m * row.liquid.viscosity_pas);
  EXPECT_GT(re_ratio, 3000.0);
  double sum_pa = row.liquid.density_kgpm3 * shared::kStandardGravity_mps2 * 0.3;
  for (const Line& line : {row.hose, row.tube}) {
    sum_pa += laminar_resistance_paspm3(line, row.liquid) * flow_m3ps +
              turbulent_drop_pa(line, row.liquid, flow_m3ps);
  }
  // Seat and outlet: rho Q^2/(2 (Cd A)^2), A of the seat pi d x sin(45 deg).
  for (const double area_m2 :
       {shared::kPi_ratio * 3e-3 * lift_m * std::sqrt(0.5), 0.25 * shared::kPi_ratio * 1e-6}) {
    const double jet_mps = flow_m3ps / (0.65 * area_m2);
    sum_pa += 0.5 * row.liquid.density_kgpm3 * jet_mps * jet_mps;
  }
  EXPECT_NEAR(sum_pa / 3e5, 1.0, 1e-10);
  RowUnit unit(row, {}, 3e5);
  RowStepOutput out;
  for (int i = 0; i < 400000; ++i)
    out = unit.step({.supply_pressure_pa = 3e5, .supply_voltage_v = 12.0, .drive_ratio = 1.0});
  EXPECT_NEAR(out.outlet_flow_m3ps / flow_m3ps, 1.0, 1e-10);
  EXPECT_NEAR(out.valve_flow_m3ps / flow_m3ps, 1.0, 1e-10);
}

}  // namespace
}  // namespace model
