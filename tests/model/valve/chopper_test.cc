// A limit that a clock switches: the steady ripple of a coil in closed form, and both forms of the
// valve against each other.
#include "model/valve/chopper.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/free_valve.h"

namespace model {
namespace {

using support::bridge_of;

/// L/R = 0.5 ms, 20 kHz; a plunger that stays on its seat.
Valve held_valve() {
  Valve valve;
  valve.coil = {.resistance_ohm = 4.0, .inductance_h = 2e-3, .chop_hz = 20e3};
  valve.plunger.preload_n = 1e3;
  return valve;
}

struct Currents {
  double at_edge_a = 0.0, least_a = 1e9, most_a = 0.0;
};

/// From the 100th period on: the current at the clock's edges, and its least and most at all steps.
Currents steady(const Valve& valve, double step_s, bool reference, double limit_a) {
  const ValvePlan<double> plan = support::free_plan(valve, step_s);
  const long long per_period = std::llround(1.0 / (valve.coil.chop_hz * step_s));
  ValveState<double> state;
  Currents currents;
  for (long long k = 0; k < 140 * per_period; ++k) {
    if (reference)
      step_valve_reference(plan, valve, state, 0.0, 0.0, bridge_of(1.0, 0.0, limit_a));
    else
      step_valve(plan, state, 0.0, 0.0, bridge_of(1.0, 0.0, limit_a));
    if (k < 100 * per_period) continue;
    if ((k + 1) % per_period == 0) currents.at_edge_a = state.current_a;
    currents.least_a = std::fmin(currents.least_a, state.current_a);
    currents.most_a = std::fmax(currents.most_a, state.current_a);
  }
  return currents;
}

// Periodic: lim = 3 + (i_min - 3) e^(-t/tau) with i_min = lim e^(-(T - t)/tau), T/tau = 0.1, lim =
// 1 A, 12 V/4 ohm = 3 A: e^(-t/tau) = (2 + e^-0.1)/3, and i_min = e^-0.1 3/(2 + e^-0.1) = 0.934480.
TEST(Chopper, TheRippleOfACoilIsThatOfItsCircuit) {
  const double tenth = std::exp(-0.1);
  const double least_a = tenth * 3.0 / (2.0 + tenth);
  EXPECT_NEAR(steady(held_valve(), 1e-5, true, 1.0).at_edge_a, least_a, 1e-6);
  EXPECT_NEAR(steady(held_valve(), 1e-5, false, 1.0).at_edge_a, least_a, 5e-4);
  EXPECT_NEAR(steady(held_valve(), 1e-6, false, 1.0).at_edge_a, least_a, 2e-5);
  const Currents seen = steady(held_valve(), 1e-6, true, 1.0);
  EXPECT_LE(seen.most_a, 1.0 + 1e-9);
  EXPECT_GT(seen.most_a, 0.995);
  EXPECT_NEAR(seen.least_a, least_a, 1e-6);
}

TEST(Chopper, TheLawsWithALinkageRippleAsTheLinearOneDoes) {
  Valve valve = held_valve();
  valve.coil.force_law = ForceLaw::kReluctance;
  valve.coil.reluctance = {.gap_m = 1.2e-3};
  const double tenth = std::exp(-0.1);
  const double least_a = tenth * 3.0 / (2.0 + tenth);
  EXPECT_NEAR(steady(valve, 1e-5, true, 1.0).at_edge_a, least_a, 1e-6);
  EXPECT_NEAR(steady(valve, 1e-5, false, 1.0).at_edge_a, least_a, 5e-4);
  valve.coil.table = support::sampled_table(valve.coil, 0.6e-3, 2, 2.0, 3);
  valve.coil.force_law = ForceLaw::kTable;
  EXPECT_NEAR(steady(valve, 1e-5, true, 1.0).at_edge_a, least_a, 1e-6);
  EXPECT_NEAR(steady(valve, 1e-5, false, 1.0).at_edge_a, least_a, 5e-4);
}

// With an eddy turn the winding's current jumps by u e/(1 + R e) as the switch turns: 12/40/1.1 =
// 0.273 A, so the field's share turns round at (1 + R e) lim - e u = 1.1 - 0.3 = 0.8 A.
TEST(Chopper, TheJumpOfEddyCurrentsEndsTheOnTimeEarly) {
  Valve valve = held_valve();
  valve.coil.force_law = ForceLaw::kReluctance;
  valve.coil.reluctance = {.gap_m = 1.2e-3, .eddy_ohm = 40.0};
  for (const bool reference : {true, false}) {
    const Currents seen = steady(valve, 1e-6, reference, 1.0);
    EXPECT_NEAR(seen.most_a, 1.0, 0.01) << reference;
    // Freewheeling, the winding carries i/(1.1), with i from 0.8 A downwards.
    EXPECT_LT(seen.least_a, 0.8 / 1.1) << reference;
    EXPECT_GT(seen.least_a, 0.9 * 0.8 / 1.1) << reference;
  }
}

TEST(Chopper, ALowerLimitIsReachedByFreewheeling) {
  const Valve valve = held_valve();
  const ValvePlan<double> plan = support::free_plan(valve, 1e-5);
  for (const bool reference : {true, false}) {
    ValveState<double> state;
    state.current_a = 2.0;
    for (int k = 0; k < 10; ++k) {
      if (reference)
        step_valve_reference(plan, valve, state, 0.0, 0.0, bridge_of(1.0, 0.0, 1.0));
      else
        step_valve(plan, state, 0.0, 0.0, bridge_of(1.0, 0.0, 1.0));
    }
    EXPECT_NEAR(state.current_a, 2.0 * std::exp(-0.2), 1e-6) << reference;
  }
}

// A command that begins 4 us before a step's end starts the clock there.
TEST(Chopper, TheCommandStartsTheClock) {
  const Valve valve = held_valve();
  const ValvePlan<double> plan = support::free_plan(valve, 1e-5);
  for (const bool reference : {true, false}) {
    ValveState<double> state;
    const auto step = [&](double drive_ratio) {
      const RowStepInput in = bridge_of(drive_ratio, 0.0, 1.0);
      if (reference)
        step_valve_reference(plan, valve, state, 0.0, 0.0, in);
      else
        step_valve(plan, state, 0.0, 0.0, in);
    };
    step(0.0);
    EXPECT_EQ(state.chopper.runs_ratio, 0.0);
    step(0.4);
    EXPECT_NEAR(state.chopper.since_s, 4e-6, 1e-12);
    step(1.0);
    EXPECT_NEAR(state.chopper.since_s, 14e-6, 1e-12);
  }
}

}  // namespace
}  // namespace model
