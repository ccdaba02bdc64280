#include "model/machine/manifold.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

// 12 l/min at no pressure, 8 bar at no flow; C = 2 l / 20 MPa = 1e-10 m3/Pa.
Manifold small_pump() {
  return {.pump_m3ps = 2e-4,
          .pump_pa = 8e5,
          .override_pa = 0.2e5,
          .relief_lag_s = 0.02,
          .volume_m3 = 2e-3,
          .modulus_pa = 2e7};
}

ManifoldState run(const Manifold& manifold, double setpoint_pa, double rows_m3ps, double step_s,
                  double lasts_s, double start_pa = 1e5) {
  ManifoldState state = filled_manifold(manifold, start_pa);
  const auto steps = std::llround(lasts_s / step_s);
  for (long long k = 0; k < steps; ++k)
    book_flows(manifold, plan_flows(manifold, state, setpoint_pa, step_s, rows_m3ps), step_s,
               rows_m3ps * step_s, state);
  return state;
}

// By hand, relief shut: Q0 (1 - p/p0) = q at q = 1e-4: p = 4 bar. Parabola: p = p0 (1 - 1/4) = 6
// bar.
TEST(Manifold, WithTheReliefShutThePumpCurveSetsThePressure) {
  Manifold manifold = small_pump();
  EXPECT_NEAR(run(manifold, 7e5, 1e-4, 1e-3, 20.0).pressure_pa, 4e5, 1e-3);
  manifold.curve = PumpCurve::kParabola;
  EXPECT_NEAR(run(manifold, 7e5, 1e-4, 1e-3, 20.0).pressure_pa, 6e5, 1e-3);
}

// The steady pressure lies where the curves of pump, relief and rows meet; the relief's is repeated
// here.
TEST(Manifold, SteadyPressureIsTheIntersectionOfTheCurves) {
  for (const double setpoint_pa : {0.5e5, 1.5e5, 3e5})
    for (const double rows_m3ps : {0.0, 3e-5, 9e-5}) {
      const double p_pa = run(small_pump(), setpoint_pa, rows_m3ps, 1e-3, 5.0).pressure_pa;
      const double relief_m3ps =
          2e-4 / 0.2e5 * (p_pa - setpoint_pa) * std::sqrt(p_pa / setpoint_pa);
      EXPECT_GT(p_pa, setpoint_pa);
      EXPECT_NEAR(2e-4 * (1.0 - p_pa / 8e5), relief_m3ps + rows_m3ps, 1e-12);
    }
}

// C from 1e-15 to 1e-6 m3/Pa, steps of 0.1 and 10 ms: the same steady state, nothing rings up.
TEST(Manifold, IsStableAtAnyCompliance) {
  for (const double modulus_pa : {2e3, 2e7, 2e12})
    for (const double step_s : {1e-4, 1e-2}) {
      Manifold manifold = small_pump();
      manifold.modulus_pa = modulus_pa;
      const double lasts_s = 5e3 * step_s;
      manifold.relief_lag_s = 0.0;
      const ManifoldState state = run(manifold, 1.5e5, 5e-5, step_s, lasts_s, 1.4e5);
      if (modulus_pa < 1e4) {
        EXPECT_GT(state.pressure_pa, 1.4e5);
        EXPECT_LT(state.pressure_pa, 1.7e5);
        continue;
      }
      EXPECT_NEAR(state.pressure_pa, run(manifold, 1.5e5, 5e-5, 1e-3, 5.0).pressure_pa, 1e-3);
    }
}

// C dp/dt: 1e-4 m3/s for 1 ms out of 1e-10 m3/Pa is 1000 Pa, seen at the end of the step in which
// it flows; pump and relief have not answered yet.
TEST(Manifold, SagIsFlowTimesTimeOverCompliance) {
  const Manifold manifold = small_pump();
  ManifoldState state = run(manifold, 1.5e5, 0.0, 1e-3, 5.0);
  const double before_pa = state.pressure_pa;
  book_flows(manifold, plan_flows(manifold, state, 1.5e5, 1e-3, 0.0), 1e-3, 1e-4 * 1e-3, state);
  EXPECT_NEAR(before_pa - state.pressure_pa, 1000.0, 1e-6);
}

// A huge volume holds the pressure that drives the relief: its opening e comes nearer to the
// overpressure by 1 - 1/e within one lag.
TEST(Manifold, TheReliefOpensWithItsLag) {
  Manifold manifold = small_pump();
  manifold.volume_m3 = 1e6;
  ManifoldState state = filled_manifold(manifold, 2e5);
  for (int k = 0; k < 20; ++k)
    book_flows(manifold, plan_flows(manifold, state, 1.5e5, 1e-3, 0.0), 1e-3, 0.0, state);
  EXPECT_NEAR(state.over_pa, 0.5e5 * (1.0 - std::exp(-1.0)), 1.0);
}

// Whatever the rows draw, the volume balances: in - out is what is stored now less what was stored
// before.
TEST(Manifold, VolumeClosesToRounding) {
  Manifold manifold = small_pump();
  ManifoldState state = filled_manifold(manifold, 1e5);
  const double start_m3 = state.stored_m3;
  double rows_m3ps = 0.0;
  for (int k = 0; k < 60'000; ++k) {
    const ManifoldFlows flows = plan_flows(manifold, state, 1.5e5, 1e-3, rows_m3ps);
    rows_m3ps = 8e-5 * (1.0 + std::sin(0.21 * k) + 0.4 * std::sin(1.7 * k));
    book_flows(manifold, flows, 1e-3, rows_m3ps * 1e-3, state);
  }
  const double in_m3 = state.pump_volume_m3;
  EXPECT_NEAR(in_m3 - state.relief_volume_m3 - state.rows_volume_m3, state.stored_m3 - start_m3,
              1e-10 * in_m3);
  EXPECT_NEAR(state.stored_m3, 1e-10 * state.pressure_pa, 1e-18);
  EXPECT_GT(state.relief_volume_m3, 0.0);
}

// 0.1 l in the tank and no row drawing: the relief's return keeps the tank from emptying. With 5e-5
// m3/s drawn it lasts about 2 s; then gas grows by what the pump packs in, p V = A at every
// instant, and the rows draw from the manifold's 2 l.
TEST(Manifold, AnEmptyTankMakesThePumpDeliverAir) {
  Manifold manifold = small_pump();
  manifold.tank_m3 = 1e-4;
  EXPECT_FALSE(run(manifold, 1.5e5, 0.0, 1e-3, 20.0, 1.5e5).air);
  EXPECT_FALSE(run(manifold, 1.5e5, 5e-5, 1e-3, 1.9, 1.5e5).air);
  const ManifoldState state = run(manifold, 1.5e5, 5e-5, 1e-3, 4.0, 1.5e5);
  EXPECT_TRUE(state.air);
  EXPECT_FALSE(state.air_at_row);
  EXPECT_LT(state.pressure_pa, 1.5e5 + 0.2e5);
  const double gas_m3 = 1e-10 * state.pressure_pa - state.stored_m3;
  EXPECT_NEAR(gas_m3 * (101325.0 + state.pressure_pa) / state.gas_pam3, 1.0, 1e-12);
  // the volume that has left for good since the start came from tank and manifold together
  EXPECT_NEAR(state.rows_volume_m3 + state.relief_volume_m3 - state.pump_volume_m3,
              1e-10 * 1.5e5 - state.stored_m3, 1e-14);
  const ManifoldState later = run(manifold, 1.5e5, 5e-5, 1e-3, 60.0, 1.5e5);
  EXPECT_TRUE(later.air_at_row);
  EXPECT_GT(later.pressure_pa, -101325.0);
  EXPECT_TRUE(std::isfinite(later.pressure_pa));
}

// By hand: share of 1e-11 m3/Pa, hose of Z = 1e10, 10 us. Implicit:
// p = (p0 + dt/C G/Z)/(1 + dt/(C Z)).
// The volume that the hose takes at that pressure is what the share loses.
TEST(Manifold, AShareLosesWhatItsHoseTakes) {
  const ManifoldShare share{.pressure_pa = 2e5, .fed_m3ps = 3e-6, .compliance_m3ppa = 1e-11};
  for (const double met_ratio : {1.0, 0.8}) {
    const double wave_pa = 1e5;
    const double next_pa = share.next_pa(1e-5, wave_pa, 1e10, met_ratio);
    const double taken_m3 = 1e-5 * (met_ratio * next_pa - wave_pa) / 1e10;
    EXPECT_NEAR(1e-11 * (next_pa - 2e5), 3e-6 * 1e-5 - taken_m3, 1e-20);
  }
}

}  // namespace
}  // namespace model
