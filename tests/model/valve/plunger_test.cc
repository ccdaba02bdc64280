#include "model/valve/plunger.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace model {
namespace {

constexpr double kStep_s = 1e-5;
const Plunger kFree = {.mass_kg = 2e-3,
                       .preload_n = 0.0,
                       .spring_rate_npm = 0.0,
                       .damping_nspm = 0.0,
                       .coulomb_friction_n = 0.0,
                       .travel_m = 1.0,
                       .restitution_ratio = 0.5};

PlungerMove<double> push(const PlungerPlan<double>& plan, PlungerState<double>& state,
                         double force_n) {
  const auto middle = plunger_middle(plan, state);
  const double total_n = force_n - plan.preload_n - plan.spring_npm * middle.lift_m;
  const auto move = move_plunger(plan, state, total_n, middle);
  state = move.after;
  return move;
}

TEST(Plunger, ConstantForceGivesAParabola) {
  const auto plan = make_plunger_plan(kFree, kStep_s);
  PlungerState<double> state;
  for (int i = 0; i < 1000; ++i) push(plan, state, 4.0);  // 2000 m/s2 for 10 ms
  EXPECT_NEAR(state.lift_m, 0.5 * 2000.0 * 1e-4, 1e-12);
  EXPECT_NEAR(state.speed_mps, 20.0, 1e-10);
}

// Bounces from height h return to e^2 h: with e = 0.5 to a quarter.
TEST(Plunger, ReboundsToTheSquareOfTheRestitution) {
  const auto plan = make_plunger_plan(kFree, kStep_s);
  PlungerState<double> state{.lift_m = 4e-3};
  bool hit = false;
  double highest_m = 0.0;
  for (int i = 0; i < 440; ++i) {  // falls 4 mm at 1000 m/s2 in 2.83 ms, rises for 1.41 ms
    hit |= push(plan, state, -2.0).hit;
    if (hit) highest_m = std::max(highest_m, state.lift_m);
  }
  EXPECT_NEAR(highest_m, 1e-3, 2e-8);
}

TEST(Plunger, ImpactsAreLocatedInsideTheStep) {
  // The instant of the first impact, sqrt(2 h/a), must not jitter with the grid.
  for (const double height_m : {1.00e-3, 1.01e-3, 1.02e-3, 1.03e-3}) {
    const auto plan = make_plunger_plan(kFree, kStep_s);
    PlungerState<double> state{.lift_m = height_m};
    const double fall_s = std::sqrt(2.0 * height_m / 1000.0);
    const double impact_mps = 1000.0 * fall_s;
    for (int i = 0; i < 180; ++i) push(plan, state, -2.0);
    const double since_s = 1.8e-3 - fall_s;
    EXPECT_NEAR(state.lift_m, 0.5 * impact_mps * since_s - 500.0 * since_s * since_s, 1e-11);
  }
}

TEST(Plunger, ComesToRestOnTheSeatAndStays) {
  const auto plan = make_plunger_plan(kFree, kStep_s);
  PlungerState<double> state{.lift_m = 1e-3};
  for (int i = 0; i < 2000; ++i) push(plan, state, -2.0);
  EXPECT_EQ(state.lift_m, 0.0);
  EXPECT_EQ(state.speed_mps, 0.0);
  push(plan, state, 2.0);
  EXPECT_GT(state.lift_m, 0.0);
}

TEST(Plunger, StaysWithinSeatAndStopUnderAnyForce) {
  Plunger tight = kFree;
  tight.travel_m = 0.6e-3;
  const auto plan = make_plunger_plan(tight, kStep_s);
  PlungerState<double> state;
  for (int i = 0; i < 20000; ++i) {
    const double force_n = 30.0 * std::sin(0.0173 * i) + 25.0 * std::sin(0.0071 * i);
    push(plan, state, force_n);
    ASSERT_GE(state.lift_m, 0.0);
    ASSERT_LE(state.lift_m, 0.6e-3);
  }
}

TEST(Plunger, CoulombFrictionSticksBelowItsForceAndSlowsAbove) {
  Plunger sticky = kFree;
  sticky.coulomb_friction_n = 1.0;
  const auto plan = make_plunger_plan(sticky, kStep_s);
  PlungerState<double> state{.lift_m = 0.1};
  for (int i = 0; i < 100; ++i) push(plan, state, 0.99);
  EXPECT_EQ(state.speed_mps, 0.0);
  EXPECT_EQ(state.lift_m, 0.1);
  for (int i = 0; i < 100; ++i) push(plan, state, 3.0);
  EXPECT_NEAR(state.speed_mps, (3.0 - 1.0) / 2e-3 * 1e-3, 1e-12);
}

// A mass on a spring: halving the step quarters the error (second order).
TEST(Plunger, SecondOrderOnASpring) {
  Plunger sprung = kFree;
  sprung.spring_rate_npm = 2000.0;
  const double omega_ps = std::sqrt(2000.0 / 2e-3);
  const auto error_m = [&](int steps) {
    const double step_s = 2e-3 / steps;
    const auto plan = make_plunger_plan(sprung, step_s);
    PlungerState<double> state{.lift_m = 0.5};
    // About 0.5 m: the seat is out of reach, the spring pulls towards a force of 800 N at 0.4 m.
    for (int i = 0; i < steps; ++i) push(plan, state, 800.0);
    return state.lift_m - (0.4 + 0.1 * std::cos(omega_ps * 2e-3));
  };
  const double order_ratio = std::log2(std::abs(error_m(100) / error_m(200)));
  EXPECT_GT(order_ratio, 1.8);
}

}  // namespace
}  // namespace model
