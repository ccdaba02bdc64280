// The reluctance solenoid in time: closed forms where the circuit has them, the reference form
// elsewhere, and the balance of energy over a pulse.
#include "model/valve/actuator.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/valve/valve_reference.h"
#include "tests/support/free_valve.h"

namespace model {
namespace {

using support::bridge_of;
using support::free_plan;

Coil plain_coil() {
  Coil coil{.resistance_ohm = 4.0, .inductance_h = 2e-3};
  coil.force_law = ForceLaw::kReluctance;
  coil.reluctance = {.gap_m = 1.2e-3};
  return coil;
}

Coil iron_coil() {
  Coil coil{.resistance_ohm = 4.0, .inductance_h = 3e-3};
  coil.force_law = ForceLaw::kReluctance;
  coil.reluctance = {.gap_m = 1.0e-3,
                     .leakage_h = 4e-4,
                     .saturation_vs = 9e-3,
                     .half_current_a = 0.3,
                     .remanence_a = 0.01,
                     .eddy_ohm = 25.0};
  return coil;
}

struct Coiled {
  double linkage_vs = 0.0, current_a = 0.0;
};

Coiled run(const Coil& coil, Coiled now, double time_s, double step_s, const RowStepInput& in,
           double lift_m = 0.0) {
  const auto plan = make_actuator_plan(coil, step_s);
  for (long long k = 0; k < std::llround(time_s / step_s); ++k) {
    const auto move = move_actuator(plan, now.linkage_vs, now.current_a, lift_m, in);
    now = {move.linkage_vs, move.current_a};
  }
  return now;
}

// Without saturation and motion the circuit is L R: 3 A (1 - e^-1) after L/R = 0.5 ms, and from 3 A
// against 12 V the current is zero after L/R ln 2.
TEST(Actuator, RisesAndFallsAsAnInductanceWithoutIron) {
  EXPECT_NEAR(run(plain_coil(), {}, 5e-4, 1e-5, bridge_of(1.0, 0.0)).current_a, 3.0 * 0.6321205588,
              1e-4);
  EXPECT_NEAR(run(plain_coil(), {}, 5e-4, 1e-6, bridge_of(1.0, 0.0)).current_a, 3.0 * 0.6321205588,
              1e-6);
  const Coiled held{.linkage_vs = 3.0 * 2e-3, .current_a = 3.0};
  EXPECT_NEAR(run(plain_coil(), held, 0.34e-3, 1e-6, bridge_of(0.0, 1.0)).current_a,
              6.0 * std::exp(-0.68) - 3.0, 1e-5);
  EXPECT_NEAR(run(plain_coil(), held, 0.36e-3, 1e-5, bridge_of(0.0, 1.0)).current_a, 0.0, 1e-12);
}

// A clamp of 36 V: zero after 0.14384 ms, as for the linear coil of the same L and R.
TEST(Actuator, AClampAndADiodeEndTheCurrentAsTheyDoInTheLinearCoil) {
  Coil coil = plain_coil();
  coil.clamp_v = 36.0;
  const Coiled held{.linkage_vs = 3.0 * 2e-3, .current_a = 3.0};
  EXPECT_GT(run(coil, held, 0.143e-3, 1e-6, bridge_of(0.0, 1.0)).current_a, 0.0);
  EXPECT_NEAR(run(coil, held, 0.145e-3, 1e-6, bridge_of(0.0, 1.0)).current_a, 0.0, 1e-12);
  coil.diode_v = 0.7;
  EXPECT_GT(run(coil, held, 1.447e-3, 1e-6, bridge_of(0.0, 0.0)).current_a, 0.0);
  EXPECT_NEAR(run(coil, held, 1.451e-3, 1e-6, bridge_of(0.0, 0.0)).current_a, 0.0, 1e-12);
}

// An eddy turn beside the winding: at once u e/(1 + R e) flows, and the field rises with
// (L/R)(1 + R e): 0.58 ms here.
TEST(Actuator, EddyCurrentsLetTheWindingsCurrentRunAheadOfTheField) {
  Coil coil = plain_coil();
  coil.reluctance.eddy_ohm = 25.0;
  const double ratio = 1.0 + 4.0 / 25.0;
  EXPECT_NEAR(run(coil, {}, 1e-8, 1e-8, bridge_of(1.0, 0.0)).current_a, 12.0 / 25.0 / ratio, 1e-4);
  const Coiled after = run(coil, {}, 0.58e-3, 1e-6, bridge_of(1.0, 0.0));
  EXPECT_NEAR(after.linkage_vs, 2e-3 * 3.0 * (1.0 - std::exp(-1.0)), 1e-8);
}

// Once the diodes block, the field dies away by the eddy turn alone: L/re = 2 mH/25 ohm = 80 us.
TEST(Actuator, BehindBlockedDiodesTheFieldDiesByItsEddyCurrents) {
  Coil coil = plain_coil();
  coil.reluctance.eddy_ohm = 25.0;
  const Coiled start{.linkage_vs = 1e-4, .current_a = 0.0};
  const Coiled after = run(coil, start, 80e-6, 1e-6, bridge_of(0.0, 1.0));
  EXPECT_EQ(after.current_a, 0.0);
  EXPECT_NEAR(after.linkage_vs, 1e-4 * std::exp(-1.0), 1e-9);
}

TEST(Actuator, TheLimitHoldsAndFastDecayEndsAtZero) {
  for (const Coil& coil : {plain_coil(), iron_coil()}) {
    const Coiled held = run(coil, {}, 8e-3, 1e-5, bridge_of(1.0, 0.0, 1.5));
    EXPECT_NEAR(held.current_a, 1.5, 1e-6);
    const Coiled off = run(coil, held, 4e-3, 1e-5, bridge_of(0.0, 1.0));
    EXPECT_NEAR(off.current_a, 0.0, 1e-9);
  }
}

Valve iron_valve() {
  Valve valve;
  valve.coil = iron_coil();
  valve.plunger.damping_nspm = 1.5;
  valve.plunger.restitution_ratio = 0.0;
  return valve;
}

struct Pulse {
  double electrical_j = 0.0, copper_j = 0.0, eddy_j = 0.0, mechanical_j = 0.0, stored_j = 0.0;
  double current_a = 0.0, lift_m = 0.0;
  double opened_s = 0.0, shut_s = 0.0;
};

/// 4 ms on, 4 ms off in the reference form, whose steps resolve what the books sum.
Pulse pulse_of(const Valve& valve, double step_s, bool reference) {
  const ValvePlan<double> plan = free_plan(valve, step_s);
  ValveState<double> state;
  state.linkage_vs = linkage_of_current_vs(plan.actuator.iron, 0.0, 0.0);
  const double rest_j = stored_energy_j(plan.actuator.iron, state.linkage_vs, 0.0);
  Pulse pulse;
  for (long long k = 0; k < std::llround(8e-3 / step_s); ++k) {
    const bool on = static_cast<double>(k) * step_s < 4e-3 - 1e-9;
    const RowStepInput in = on ? bridge_of(1.0, 0.0) : bridge_of(0.0, 1.0);
    const ValveState<double> before = state;
    if (reference)
      step_valve_reference(plan, valve, state, 0.0, 0.0, in);
    else
      step_valve(plan, state, 0.0, 0.0, in);
    const double rate_v = (state.linkage_vs - before.linkage_vs) / step_s;
    const double lift_m = 0.5 * (before.plunger.lift_m + state.plunger.lift_m);
    const GapLinkage<double> gap =
        gap_linkage(plan.actuator.iron, 0.5 * (before.linkage_vs + state.linkage_vs), lift_m);
    const double winding_a = gap.current_a + plan.actuator.iron.eddy_siemens * rate_v;
    pulse.electrical_j += (valve.coil.resistance_ohm * winding_a + rate_v) * winding_a * step_s;
    pulse.copper_j += valve.coil.resistance_ohm * winding_a * winding_a * step_s;
    pulse.eddy_j += plan.actuator.iron.eddy_siemens * rate_v * rate_v * step_s;
    pulse.mechanical_j += gap_force_n(plan.actuator.iron, gap.linkage_vs) *
                          (state.plunger.lift_m - before.plunger.lift_m);
    if (pulse.opened_s == 0.0 && state.plunger.lift_m >= 0.99 * valve.plunger.travel_m)
      pulse.opened_s = static_cast<double>(k + 1) * step_s;
    if (!on && pulse.shut_s == 0.0 && state.plunger.lift_m <= 0.01 * valve.plunger.travel_m)
      pulse.shut_s = static_cast<double>(k + 1) * step_s - 4e-3;
  }
  pulse.stored_j =
      stored_energy_j(plan.actuator.iron, state.linkage_vs, state.plunger.lift_m) - rest_j;
  pulse.current_a = state.current_a;
  pulse.lift_m = state.plunger.lift_m;
  return pulse;
}

// Electrical work = stored + mechanical + heat of copper and iron. The books are midpoint sums over
// the reference form's steps, so what is left falls with the square of the step.
TEST(Actuator, TheBooksOfAPulseCloseWithTheSquareOfTheStep) {
  const auto residual = [](double step_s) {
    const Pulse p = pulse_of(iron_valve(), step_s, true);
    EXPECT_GT(p.mechanical_j, 1e-5);
    return std::abs(p.electrical_j - p.copper_j - p.eddy_j - p.mechanical_j - p.stored_j) /
           p.electrical_j;
  };
  const double coarse_ratio = residual(4e-6), fine_ratio = residual(1e-6);
  EXPECT_LT(coarse_ratio, 1e-4);
  EXPECT_LT(fine_ratio, 0.1 * coarse_ratio);
}

TEST(Actuator, TheFastFormOpensAndShutsAsTheReferenceForm) {
  const Pulse reference = pulse_of(iron_valve(), 1e-6, true);
  ASSERT_GT(reference.opened_s, 0.5e-3);
  ASSERT_GT(reference.shut_s, 0.1e-3);
  const Pulse fast = pulse_of(iron_valve(), 1e-5, false);
  EXPECT_NEAR(fast.opened_s, reference.opened_s, 15e-6);
  EXPECT_NEAR(fast.shut_s, reference.shut_s, 15e-6);
  EXPECT_NEAR(reference.current_a, 0.0, 1e-12);
}

// At rest a magnet of the linear law drew a current through its diodes as the plunger fell; a
// blocked diode lets none pass while the plunger induces less than the supply.
TEST(Actuator, NoCurrentFlowsThroughBlockedDiodesWhileThePlungerFalls) {
  Valve valve;
  const ValvePlan<double> plan = free_plan(valve, 1e-5);
  for (const bool reference : {false, true}) {
    ValveState<double> state;
    state.plunger = {.lift_m = 0.5e-3, .speed_mps = -0.3};
    for (int k = 0; k < 40; ++k) {
      if (reference)
        step_valve_reference(plan, valve, state, 0.0, 0.0, bridge_of(0.0, 1.0));
      else
        step_valve(plan, state, 0.0, 0.0, bridge_of(0.0, 1.0));
      EXPECT_EQ(state.current_a, 0.0) << "reference " << reference << ", step " << k;
    }
  }
}

}  // namespace
}  // namespace model
