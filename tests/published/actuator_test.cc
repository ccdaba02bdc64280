// Coil and plunger against closed forms: current rise, clamp decay, and a voice coil that throws
// its plunger.
//
// Source   RL circuit: i = (V/R)(1 - e^{-tR/L}); clamp: t = (L/R) ln(1 + I0 R / Vz). Voice coil R
//          = 4, L = 2 mH, K = 5 N/A (= V s/m), m = 3 g, V = 12, no spring: the linear system's
//          eigenvalues -1000 +- 1779.51304i; figures at 1 ms and times to 0.5 mm computed outside
//          this program from them.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "model/row/row_unit.h"
#include "model/valve/coil.h"
#include "model/valve/copper.h"

namespace model {
namespace {

constexpr double kStep_s = 10e-6;
constexpr Coil kCoil{.resistance_ohm = 4.0, .inductance_h = 2e-3, .force_constant_npa = 5.0};

TEST(Actuator, TheCurrentRisesTo63PercentInOneTimeConstant) {
  const auto plan = make_coil_plan(kCoil, kStep_s);
  const RowStepInput drive{.supply_voltage_v = 12.0, .drive_ratio = 1.0};
  double current_a = 0.0;
  for (int step = 1; step <= 400; ++step) {
    current_a = coil_current_a(plan, current_a, 0.0, drive);
    const double wanted_a = 3.0 * (1.0 - std::exp(-step * kStep_s * 2000.0));
    ASSERT_NEAR(current_a, wanted_a, 1e-12);
    if (step == 50) {
      EXPECT_NEAR(current_a / 3.0, 0.63212, 5e-6);
    }
  }
}

// From 3 A against 12 V: t = 0.5 ms ln(1 + 3 * 4 / 12) = 0.346574 ms, then nothing more (the
// diode).
TEST(Actuator, TheClampBringsTheCurrentToZeroAndHoldsIt) {
  const auto plan = make_coil_plan(kCoil, kStep_s);
  const RowStepInput decay{.supply_voltage_v = 12.0, .fast_decay_ratio = 1.0};
  double current_a = 3.0;
  int step = 0;
  while (current_a > 0.0 && step < 1000) {
    current_a = coil_current_a(plan, current_a, 0.0, decay);
    ++step;
    if (step * kStep_s < 0.346574e-3) {
      EXPECT_NEAR(current_a, 6.0 * std::exp(-step * kStep_s * 2000.0) - 3.0, 1e-12);
    }
  }
  EXPECT_EQ(step, 35) << "0.346574 ms lies in the 35th step of 10 us";
  EXPECT_EQ(coil_current_a(plan, current_a, 0.0, decay), 0.0);
}

// The row unit as a bare actuator: its seat has no noticeable force, and spring and pressure are 0.
struct Throw {
  std::vector<double> current_a{0.0};
  std::vector<double> lift_m{0.0};
  double step_s = 0.0;
};

Throw throw_plunger(LineForm form, double voltage_v, double resistance_ohm, double scale = 1.0,
                    double temperature_k = kTwentyCelsius_k) {
  RowUnitParams row;
  row.hose = {.length_m = 0.1, .bore_m = 6e-3, .wave_speed_mps = 500.0};
  row.tube = {.length_m = 0.1, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  row.valve.coil = kCoil;
  row.valve.coil.resistance_ohm = resistance_ohm;
  row.valve.coil.force_constant_npa *= scale;  // with the mass: same throw, less back-EMF
  row.valve.coil.temperature_k = temperature_k;
  row.valve.plunger = {
      .mass_kg = 3e-3 * scale, .preload_n = 0.0, .spring_rate_npm = 0.0, .travel_m = 5e-3};
  row.valve.seat.diameter_m = 1e-6;
  SolverParams solver;
  solver.form = form;
  RowUnit unit(row, solver, 0.0);
  Throw result;
  result.step_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const RowStepInput drive{.supply_voltage_v = voltage_v, .drive_ratio = 1.0};
  for (double time_s = 0.0; time_s < 1.05e-3; time_s += result.step_s) {
    const auto output = unit.step(drive);
    result.current_a.push_back(output.current_a);
    result.lift_m.push_back(output.lift_m);
  }
  return result;
}

// Parabola through the three points round the crossing, because a straight line would err by more
// than the tolerance.
double time_to_ms(const Throw& way, double lift_m) {
  std::size_t after = 1;
  while (way.lift_m[after] < lift_m) ++after;
  const double before_m = way.lift_m[after - 1];
  const double slope_m = 0.5 * (way.lift_m[after + 1] - before_m);
  const double bend_m = way.lift_m[after + 1] - 2.0 * way.lift_m[after] + before_m;
  double share = (lift_m - before_m) / (way.lift_m[after] - before_m);
  for (int pass = 0; pass < 20; ++pass)
    share = (lift_m - before_m - 0.5 * bend_m * share * share) / (slope_m - bend_m);
  return (static_cast<double>(after - 1) + share) * way.step_s * 1e3;
}

TEST(Actuator, TheVoiceCoilAtOneMillisecond) {
  const Throw way = throw_plunger(LineForm::kDense, 12.0, 4.0);
  const auto at = static_cast<std::size_t>(std::lround(1e-3 / way.step_s));
  ASSERT_NEAR(static_cast<double>(at) * way.step_s, 1e-3, 1e-12);
  EXPECT_NEAR(way.current_a[at], 1.21346315, 1e-8);
  EXPECT_NEAR(way.lift_m[at] * 1e3, .907786938, 1e-8);
  const double speed_mps = (8.0 * (way.lift_m[at + 1] - way.lift_m[at - 1]) -
                            (way.lift_m[at + 2] - way.lift_m[at - 2])) /
                           (12.0 * way.step_s);
  EXPECT_NEAR(speed_mps, 2.09755792, 1e-7) << "difference of fourth order over 10 us";
}

TEST(Actuator, TimesToHalfAMillimetre) {
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kDense, 12.0, 4.0), 0.5e-3), .78009, 1e-5);
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kDense, 12.0, 4.0 * 1.1965), 0.5e-3), .79841,
              1e-5);
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kDense, 9.0, 4.0), 0.5e-3), .87741, 1e-5);
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kDense, 24.0, 4.0), 0.5e-3), .59494, 1e-5);
}

// Without spring and damping L m v'' + R m v' + K^2 v = K V; its eigenvalues are -1000 +-
// 1779.51304i, so from rest v = (V/K)(1 - e^{-1000 t} (cos w t + 1000/w sin w t)). Held over the
// whole throw it checks decay and frequency.
TEST(Actuator, TheVoiceCoilMovesWithItsEigenvalues) {
  const Throw way = throw_plunger(LineForm::kDense, 12.0, 4.0);
  constexpr double kDecay_ps = 1000.0, kTurn_radps = 1779.51304;
  for (std::size_t i = 4; i + 2 < way.lift_m.size(); i += 4) {
    const double speed_mps =
        (8.0 * (way.lift_m[i + 1] - way.lift_m[i - 1]) - (way.lift_m[i + 2] - way.lift_m[i - 2])) /
        (12.0 * way.step_s);
    const double time_s = static_cast<double>(i) * way.step_s;
    const double turned_rad = kTurn_radps * time_s;
    const double left_ratio =
        std::exp(-kDecay_ps * time_s) *
        (std::cos(turned_rad) + kDecay_ps / kTurn_radps * std::sin(turned_rad));
    EXPECT_NEAR(speed_mps, 12.0 / 5.0 * (1.0 - left_ratio), 1e-6);
  }
}

// Without back-EMF the coil does not feel the plunger: x'' = (K/m)(V/R)(1 - e^{-t/T}). The dense
// form cannot leave the back-EMF out, so a coil of K/10^6 drives a plunger of m/10^6: the same
// K/m, the back-EMF K v a millionth as strong (K^2/m falls by a million).
TEST(Actuator, TimeToHalfAMillimetreWithoutBackEmf) {
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kDense, 12.0, 4.0, 1e-6), 0.5e-3), .74871, 1e-5);
}

// Copper by the resistance method, R/R20 = (234.5 + T)/254.5, table to 4 decimals.
TEST(Actuator, CopperOverTemperature) {
  const double table[][2] = {
      {-10.0, .8821}, {0.0, .9214}, {40.0, 1.0786}, {60.0, 1.1572}, {80.0, 1.2358}};
  for (const auto& row : table)
    EXPECT_NEAR(copper_ohm(4.0, 273.15 + row[0]) / 4.0, row[1], 5e-5) << row[0];
}

// 0.1 ohm at 20 C is 0.11179 ohm at 50 C (T. Ikiz, Conductor Temperature Coefficient of Resistance,
// 2024, after IEC 60028); 100 ohm at 30 C are 96.22 ohm at 20 C (Hioki, RM3545 manual, appendix 4).
// Both sources have 0.00393 per K for 1/254.5.
TEST(Actuator, CopperAsTwoOthersWorkItOut) {
  EXPECT_NEAR(copper_ohm(0.1, 273.15 + 50.0), 0.11179, 5e-6);
  EXPECT_NEAR(100.0 / copper_ohm(1.0, 273.15 + 30.0), 96.22, 5e-3);
}

double opening_ms(double voltage_v, double temperature_k) {
  return time_to_ms(throw_plunger(LineForm::kFast, voltage_v, copper_ohm(4.0, temperature_k)),
                    0.5e-3);
}

TEST(Actuator, OpeningComesSoonerWithVoltageAndLaterWithHeat) {
  double before_ms = 1e9;
  for (const double voltage_v : {9.0, 10.5, 12.0, 14.0, 24.0}) {
    EXPECT_LT(opening_ms(voltage_v, 293.15), before_ms);
    before_ms = opening_ms(voltage_v, 293.15);
  }
  before_ms = 0.0;
  for (const double celsius : {-10.0, 20.0, 40.0, 80.0, 120.0}) {
    EXPECT_GT(opening_ms(12.0, 273.15 + celsius), before_ms);
    before_ms = opening_ms(12.0, 273.15 + celsius);
  }
}

// A row whose key warms its coil to 80 C: R * 1.2358 by hand, to the bit of the table.
TEST(Actuator, AWarmCoilIsOneOfMoreResistance) {
  EXPECT_NEAR(opening_ms(12.0, 353.15),
              time_to_ms(throw_plunger(LineForm::kFast, 12.0, 4.0, 1.0, 353.15), 0.5e-3), 1e-12);
}

// The fast form takes coil and plunger in second-order steps of 10 us: 1 us of 0.78 ms is 0.004 mm
// on the ground.
TEST(Actuator, TheFastFormIsWithinAMicrosecond) {
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kFast, 12.0, 4.0), 0.5e-3), .78009, 1e-3);
  EXPECT_NEAR(time_to_ms(throw_plunger(LineForm::kFast, 24.0, 4.0), 0.5e-3), .59494, 1e-3);
}

// Kf is the back-EMF constant too, so energy closes: V i dt = R i^2 dt + d(L i^2/2) + d(m v^2/2), v
// from the lift.
TEST(Actuator, EnergyCloses) {
  const Throw way = throw_plunger(LineForm::kDense, 12.0, 4.0);
  double in_j = 0.0;
  double heat_j = 0.0;
  const std::size_t last = 96;
  for (std::size_t i = 0; i < last; i += 2) {  // Simpson's rule
    const double third_s = way.step_s / 3.0;
    in_j += 12.0 * third_s * (way.current_a[i] + 4.0 * way.current_a[i + 1] + way.current_a[i + 2]);
    heat_j +=
        4.0 * third_s *
        (way.current_a[i] * way.current_a[i] + 4.0 * way.current_a[i + 1] * way.current_a[i + 1] +
         way.current_a[i + 2] * way.current_a[i + 2]);
  }
  const double speed_mps = (8.0 * (way.lift_m[last + 1] - way.lift_m[last - 1]) -
                            (way.lift_m[last + 2] - way.lift_m[last - 2])) /
                           (12.0 * way.step_s);
  const double held_j =
      0.5 * 2e-3 * way.current_a[last] * way.current_a[last] + 0.5 * 3e-3 * speed_mps * speed_mps;
  EXPECT_NEAR((heat_j + held_j) / in_j, 1.0, 1e-7) << "Simpson and differences over 10 us";
}

}  // namespace
}  // namespace model
