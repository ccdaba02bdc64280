// A frictionless line at Courant number 1 is exact: sudden stops, echoes and reflecting ends.
//
// Source   N. Joukowsky 1898, dp = rho a dV for t < 2 L / a, as restated by A. S. Tijsseling and
//          A. Anderson, "The Joukowsky equation for fluids and solids"; reflections: any textbook
//          of fluid transients, derived at each test
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "model/fluid/line.h"
#include "shared/units.h"

namespace model {
namespace {

constexpr int kCells = 40;

struct Rig {
  Line tube{.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  Liquid liquid{};
  LinePlan<double> plan;
  double area_m2 = 0.0;

  Rig() {
    area_m2 = shared::kPi_ratio * tube.bore_m * tube.bore_m / 4.0;
    plan = make_line_plan(tube, liquid,
                          {.cells = kCells,
                           .step_s = tube.length_m / (tube.wave_speed_mps * kCells),
                           .friction = WallFriction::kNone});
  }
  double impedance_paspm3() const { return liquid.density_kgpm3 * tube.wave_speed_mps / area_m2; }
};

// A reservoir at the inlet, a valve at the outlet that stops speed V at once: the pressure there is
// a square wave of height rho a V and half period 2 L / a = 2 * cells steps, for ever.
TEST(Joukowsky, TheSquareWaveLastsAThousandEchoes) {
  Rig rig;
  const double speed_mps = 0.5;
  const double reservoir_pa = 2e5;
  auto state = steady_line(rig.plan, reservoir_pa, speed_mps * rig.area_m2);
  const double height_pa = rig.liquid.density_kgpm3 * rig.tube.wave_speed_mps * speed_mps;
  for (int echo = 0; echo < 1000; ++echo) {
    const double wanted_pa = echo % 2 == 0 ? height_pa : -height_pa;
    for (int step = 0; step < 2 * kCells; ++step) {
      const auto waves = arrivals(rig.plan, state);
      const double valve_pa = waves.at_outlet_pa;  // q = 0: F = G = p
      ASSERT_NEAR((valve_pa - reservoir_pa) / wanted_pa, 1.0, 1e-12)
          << "echo " << echo << " step " << step;
      depart(rig.plan, state,
             {.at_inlet_pa = 2.0 * reservoir_pa - waves.at_inlet_pa, .at_outlet_pa = valve_pa});
    }
  }
}

TEST(Joukowsky, AStepArrivesAtTheFarEndAfterExactlyOneLine) {
  Rig rig;
  auto state = still_line(rig.plan, 0.0);
  for (int step = 0; step < 3 * kCells; ++step) {
    const auto waves = arrivals(rig.plan, state);
    EXPECT_EQ(waves.at_outlet_pa, step < kCells ? 0.0 : 1.0) << step;
    EXPECT_EQ(waves.at_inlet_pa, 0.0) << "the far end is matched";
    depart(rig.plan, state, {.at_inlet_pa = 1.0, .at_outlet_pa = 0.0});
  }
}

// Upstream valve shut at t = 0 on flow Q0, a linear resistor R at the outlet. The outlet throws
// back rr = (R - Z) / (R + Z) of each wave, so in echo n
//   p_valve = R Q0 - Z Q0 (1 + 2 sum over k = 1..n of rr^k)
void echo_chain(double resistance_over_impedance) {
  Rig rig;
  const double impedance_paspm3 = rig.impedance_paspm3();
  const double resistor_paspm3 = resistance_over_impedance * impedance_paspm3;
  const double flow_m3ps = 1e-5;
  const double reflection =
      (resistor_paspm3 - impedance_paspm3) / (resistor_paspm3 + impedance_paspm3);
  auto state = steady_line(rig.plan, resistor_paspm3 * flow_m3ps, flow_m3ps);
  double sum = 1.0;
  double power = 1.0;
  double last_pa = 0.0;
  for (int echo = 0; echo < 200; ++echo) {
    const double wanted_pa = resistor_paspm3 * flow_m3ps - impedance_paspm3 * flow_m3ps * sum;
    for (int step = 0; step < 2 * kCells; ++step) {
      const auto waves = arrivals(rig.plan, state);
      last_pa = waves.at_inlet_pa;
      ASSERT_NEAR(last_pa, wanted_pa, 1e-12 * impedance_paspm3 * flow_m3ps * 4.0)
          << "echo " << echo;
      depart(rig.plan, state,
             {.at_inlet_pa = last_pa, .at_outlet_pa = reflection * waves.at_outlet_pa});
    }
    power *= reflection;
    sum += 2.0 * power;
  }
  EXPECT_NEAR(last_pa, 0.0, 1e-11 * impedance_paspm3 * flow_m3ps)
      << "the line empties itself of pressure";
}

TEST(Joukowsky, ALinearEndAboveTheImpedanceGivesTheEchoSeries) { echo_chain(1.3); }
TEST(Joukowsky, ALinearEndBelowTheImpedanceGivesTheEchoSeries) { echo_chain(0.4); }
TEST(Joukowsky, AMatchedEndSwallowsTheWave) { echo_chain(1.0); }

// The same with an orifice p = k Q |Q|: each echo solves p + Z Q = F (Allievi's chain), here by
// bisection.
TEST(Joukowsky, AnOrificeEndFollowsAllievisChain) {
  Rig rig;
  const double impedance_paspm3 = rig.impedance_paspm3();
  const double flow_m3ps = 1.0219e-5;  // 2 bar through 1 mm, Cd .65, water
  const double orifice_k = 2e5 / (flow_m3ps * flow_m3ps);
  auto state = steady_line(rig.plan, 2e5, flow_m3ps);

  double chain_pa = 2e5 - impedance_paspm3 * flow_m3ps;
  for (int echo = 0; echo < 20; ++echo) {
    for (int step = 0; step < 2 * kCells; ++step) {
      const auto waves = arrivals(rig.plan, state);
      ASSERT_NEAR(waves.at_inlet_pa, chain_pa, 1e-10 * 2e5) << "echo " << echo;
      const double f_pa = waves.at_outlet_pa;
      const double size = 2.0 * std::abs(f_pa) /
                          (impedance_paspm3 + std::sqrt(impedance_paspm3 * impedance_paspm3 +
                                                        4.0 * orifice_k * std::abs(f_pa)));
      const double out_m3ps = f_pa < 0.0 ? -size : size;
      depart(rig.plan, state,
             {.at_inlet_pa = waves.at_inlet_pa,
              .at_outlet_pa = f_pa - 2.0 * impedance_paspm3 * out_m3ps});
    }
    double low_m3ps = -1e-3;
    double high_m3ps = 1e-3;
    for (int halving = 0; halving < 200; ++halving) {
      const double middle_m3ps = 0.5 * (low_m3ps + high_m3ps);
      const bool above =
          orifice_k * middle_m3ps * std::abs(middle_m3ps) + impedance_paspm3 * middle_m3ps >
          chain_pa;
      (above ? high_m3ps : low_m3ps) = middle_m3ps;
    }
    chain_pa -= 2.0 * impedance_paspm3 * low_m3ps;
  }
}

// Worked textbook cases printed in a public tutorial on water hammer: rigid pipe, a = sqrt(K /
// rho). K = 2.07 GPa, dp = 700 kPa, D = 0.2 m, rho = 1000: a = 1438.75 m/s, V = 0.48653 m/s, Q
// = 15.285 l/s.
TEST(Joukowsky, ARigidPipeWorkedByHand) {
  const double wave_speed_mps = std::sqrt(2.07e9 / 1000.0);
  EXPECT_NEAR(wave_speed_mps, 1438.75, 5e-3);
  const Line pipe{.length_m = 100.0, .bore_m = 0.2, .wave_speed_mps = wave_speed_mps};
  const Liquid water{.density_kgpm3 = 1000.0};
  const auto plan = make_line_plan(
      pipe, water, {.cells = 10, .step_s = 10.0 / wave_speed_mps, .friction = WallFriction::kNone});
  auto state = steady_line(plan, 0.0, 15.285e-3);
  EXPECT_NEAR(arrivals(plan, state).at_outlet_pa, 700e3, 50.0);
}

TEST(Joukowsky, StoredVolumeIsTheCapacityTimesPressure) {
  Rig rig;
  // C = A L / (rho a^2) = 4.7209e-14 m3/Pa; at 2 bar 9.442 ul (worked from the formula for water in
  // this tube).
  EXPECT_NEAR(line_stored_volume_m3(rig.plan, still_line(rig.plan, 2e5)), 9.442e-9, 5e-13);
}

}  // namespace
}  // namespace model
