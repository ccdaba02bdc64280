// Coil and plunger against closed forms, case by case: the reference form to 1e-6, the fast form at
// 10 us to 1e-4, both of the value itself where a third of the current or more is left: by a
// linkage the fast form errs by 3e-5 of the current at the start, however little is left of it.
//
//   L R circuit     i = U/R (1 - e^(-t/tau)); i0 e^(-t/tau); against a zener V:
//                   (i0 + V/R) e^(-t/tau) - V/R, and 0 from tau ln(1 + i0 R/V) on
//   quadratic pull  gap g, no leakage, no iron: F = c y^2/2 = L i^2/(2 (g - x)) held at lift x;
//                   a constant linkage pulls alike at every lift, so the plunger flies parabolas
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "model/valve/valve_reference.h"
#include "tests/support/free_valve.h"

namespace model {
namespace {

using support::bridge_of;

constexpr double kStep_s = 1e-5;

/// L = 2 mH at the seat and R = 4 ohm: tau = 0.5 ms, 3 A at 12 V; the spring holds the plunger.
Valve held_valve(ForceLaw law, double clamp_v = 0.0) {
  Valve valve;
  valve.coil = {.resistance_ohm = 4.0, .inductance_h = 2e-3, .clamp_v = clamp_v};
  valve.coil.force_law = law;
  valve.coil.reluctance = {.gap_m = 1.2e-3};
  valve.plunger.preload_n = 1e3;
  return valve;
}

void step(const ValvePlan<double>& plan, const Valve& valve, bool reference, const RowStepInput& in,
          ValveState<double>& state) {
  if (reference)
    step_valve_reference(plan, valve, state, 0.0, 0.0, in,
                         {.absolute_ratio = 1e-13, .relative_ratio = 1e-12});
  else
    step_valve(plan, state, 0.0, 0.0, in);
}

struct Case {
  std::string name;
  Valve valve;
  double start_a = 0.0;
  RowStepInput in;
  double time_s = 0.0;
  double expected = 0.0;  // tidy: A, or N for a pull
  bool pull = false;
};

double value_of(const Case& one, bool reference) {
  const ValvePlan<double> plan = support::free_plan(one.valve, kStep_s);
  ValveState<double> state;
  state.current_a = one.start_a;
  state.linkage_vs = one.start_a * one.valve.coil.inductance_h;
  for (long long k = 0; k < std::llround(one.time_s / kStep_s); ++k)
    step(plan, one.valve, reference, one.in, state);
  return one.pull ? gap_force_n(plan.actuator.iron, state.linkage_vs) : state.current_a;
}

std::vector<Case> circuit_cases() {
  std::vector<Case> cases;
  for (const ForceLaw law : {ForceLaw::kLinear, ForceLaw::kReluctance}) {
    const std::string name = law == ForceLaw::kLinear ? "linear " : "reluctance ";
    const Valve plain = held_valve(law), zener = held_valve(law, 36.0);
    cases.push_back(
        {name + "rise", plain, 0.0, bridge_of(1.0, 0.0), 0.5e-3, 3.0 * (1.0 - std::exp(-1.0))});
    cases.push_back(
        {name + "decay", plain, 3.0, bridge_of(0.0, 0.0), 0.5e-3, 3.0 * std::exp(-1.0)});
    cases.push_back({name + "against the supply", plain, 3.0, bridge_of(0.0, 1.0), 0.2e-3,
                     6.0 * std::exp(-0.4) - 3.0});
    // The zener ends the current after 0.5 ms ln(1 + 3 4/36) = 143.841 us.
    cases.push_back({name + "against a zener", zener, 3.0, bridge_of(0.0, 1.0), 0.1e-3,
                     12.0 * std::exp(-0.2) - 9.0});
    cases.push_back({name + "behind the zener", zener, 3.0, bridge_of(0.0, 1.0), 0.15e-3, 0.0});
  }
  // F = L i^2/(2 g) at the seat: i = 3 A (1 - e^-1), 2 mH, 1.2 mm.
  const double risen_a = 3.0 * (1.0 - std::exp(-1.0));
  cases.push_back({"quadratic pull, held", held_valve(ForceLaw::kReluctance), 0.0,
                   bridge_of(1.0, 0.0), 0.5e-3, 2e-3 * risen_a * risen_a / (2.0 * 1.2e-3), true});
  return cases;
}

TEST(ClosedForms, CircuitsOfAHeldPlunger) {
  for (const Case& one : circuit_cases()) {
    EXPECT_NEAR(value_of(one, true), one.expected, 1e-6 * one.expected + 1e-12) << one.name;
    EXPECT_NEAR(value_of(one, false), one.expected, 1e-4 * one.expected + 1e-12) << one.name;
  }
}

/// A linkage that a winding without resistance keeps: c = 1/(L g), F = c y^2/2 = 12 N less 4 N of
/// spring, on 3 g: 2666.7 m/s2 everywhere.
struct Flight {
  Valve valve;
  double linkage_vs = 0.0, up_mps2 = 0.0;
};
Flight flight_of(double restitution_ratio) {
  Flight flight;
  Valve& valve = flight.valve;
  valve.coil = {.resistance_ohm = 1e-9, .inductance_h = 2e-3};
  valve.coil.force_law = ForceLaw::kReluctance;
  valve.coil.reluctance = {.gap_m = 1.2e-3};
  valve.plunger = {.mass_kg = 3e-3,
                   .preload_n = 4.0,
                   .spring_rate_npm = 0.0,
                   .travel_m = 0.6e-3,
                   .restitution_ratio = restitution_ratio};
  valve.seat.flow_force_ratio = 0.0;
  flight.linkage_vs = std::sqrt(2.0 * 12.0 * 2e-3 * 1.2e-3);
  flight.up_mps2 = 8.0 / 3e-3;
  return flight;
}

/// Exact lift: a parabola from the seat to the stop, then bounces at v = e v, e^2 v, ...
double exact_lift_m(double up_mps2, double travel_m, double restitution_ratio, double time_s) {
  double speed_mps = std::sqrt(2.0 * up_mps2 * travel_m);
  double since_s = time_s - speed_mps / up_mps2;
  if (since_s <= 0.0) return 0.5 * up_mps2 * time_s * time_s;
  for (;;) {
    speed_mps *= restitution_ratio;
    const double away_s = 2.0 * speed_mps / up_mps2;
    if (since_s < away_s) return travel_m - speed_mps * since_s + 0.5 * up_mps2 * since_s * since_s;
    since_s -= away_s;
  }
}

/// Largest error of the lift over its speed after the impacts, in s, while a bounce is flown.
struct Lateness {
  double worst_s = 0.0;
  int bounces_seen = 0;
};
Lateness lateness_of(bool reference) {
  constexpr double kKeeps_ratio = 0.5;
  const Flight flight = flight_of(kKeeps_ratio);
  const ValvePlan<double> plan = support::free_plan(flight.valve, kStep_s);
  const double travel_m = flight.valve.plunger.travel_m;
  ValveState<double> state;
  state.linkage_vs = flight.linkage_vs;
  state.current_a = 1.0;
  const double first_mps = std::sqrt(2.0 * flight.up_mps2 * travel_m);
  const double reach_s = first_mps / flight.up_mps2;
  // Three bounces: they last 2 e v/a, 2 e^2 v/a, 2 e^3 v/a.
  const double end_s = reach_s * (1.0 + 2.0 * (0.5 + 0.25 + 0.125));
  Lateness late;
  double before_mps = 0.0;
  for (long long k = 1; static_cast<double>(k) * kStep_s < end_s; ++k) {
    step(plan, flight.valve, reference, bridge_of(0.0, 0.0), state);
    const double exact_m =
        exact_lift_m(flight.up_mps2, travel_m, kKeeps_ratio, static_cast<double>(k) * kStep_s);
    const double rebound_mps = 0.125 * first_mps;  // the slowest of the three
    late.worst_s = std::fmax(late.worst_s, std::abs(state.plunger.lift_m - exact_m) / rebound_mps);
    if (before_mps > 0.0 && state.plunger.speed_mps < 0.0) ++late.bounces_seen;
    before_mps = state.plunger.speed_mps;
  }
  return late;
}

// The flight to the stop takes sqrt(2 0.6 mm/2666.7 m/s2) = 0.6708 ms; the bounces 0.6708, 0.3354
// and 0.1677 ms. An instant that is off by t moves the lift by t times the speed.
TEST(ClosedForms, AParabolaAndItsBouncesUnderAConstantLinkage) {
  const Lateness dense = lateness_of(true), fast = lateness_of(false);
  EXPECT_EQ(dense.bounces_seen, 3);
  EXPECT_EQ(fast.bounces_seen, 3);
  EXPECT_LT(dense.worst_s, 1e-6 * 0.67e-3);
  EXPECT_LT(fast.worst_s, 1e-6);
}

/// A fall onto the seat under the spring alone: no current, 4 N on 3 g.
TEST(ClosedForms, BouncesAtTheSeat) {
  for (const bool reference : {true, false}) {
    const Flight flight = flight_of(0.4);
    const ValvePlan<double> plan = support::free_plan(flight.valve, kStep_s);
    ValveState<double> state;
    state.plunger.lift_m = 0.6e-3;
    const double down_mps2 = 4.0 / 3e-3;
    const double land_s = std::sqrt(2.0 * 0.6e-3 / down_mps2);
    const double end_s = land_s * (1.0 + 2.0 * (0.4 + 0.16));
    double worst_m = 0.0;
    for (long long k = 1; static_cast<double>(k) * kStep_s < end_s; ++k) {
      step(plan, flight.valve, reference, bridge_of(0.0, 0.0), state);
      const double mirrored_m =
          exact_lift_m(down_mps2, 0.6e-3, 0.4, static_cast<double>(k) * kStep_s);
      worst_m = std::fmax(worst_m, std::abs(state.plunger.lift_m - (0.6e-3 - mirrored_m)));
    }
    const double slowest_mps = 0.16 * down_mps2 * land_s;
    EXPECT_LT(worst_m / slowest_mps, reference ? 1e-6 * land_s : 1e-6) << reference;
  }
}

// With the supply on and the gap closing: fast against the reference form, whose own tolerance is
// 1e-12. The pull grows with the square of the current while the motion induces a voltage.
TEST(ClosedForms, AQuadraticPullInMotionReachesTheStopAtTheReferencesInstant) {
  const auto arrives_s = [](bool reference, double step_s) {
    Valve valve = held_valve(ForceLaw::kReluctance);
    valve.plunger = {.mass_kg = 3e-3, .preload_n = 1.0, .restitution_ratio = 0.0};
    const ValvePlan<double> plan = support::free_plan(valve, step_s);
    ValveState<double> state;
    for (long long k = 1; k < 1000'000; ++k) {
      const PlungerState<double> before = state.plunger;
      step(plan, valve, reference, bridge_of(1.0, 0.0), state);
      if (state.plunger.lift_m < valve.plunger.travel_m) continue;
      const double left_m = valve.plunger.travel_m - before.lift_m;
      const double a_mps2 = before.acceleration_mps2;
      const double root_mps =
          std::sqrt(before.speed_mps * before.speed_mps + 2.0 * a_mps2 * left_m);
      return static_cast<double>(k - 1) * step_s + 2.0 * left_m / (before.speed_mps + root_mps);
    }
    return 0.0;
  };
  const double exact_s = arrives_s(true, 1e-7);
  EXPECT_GT(exact_s, 0.3e-3);
  EXPECT_NEAR(arrives_s(false, kStep_s), exact_s, 1e-6);
}

}  // namespace
}  // namespace model
