// The plunger over one step: flight, impacts at seat and stop, rest, sticking.
//
//   m dv/dt = f - b v - Fc sgn(v),  f = Kf i - F0 - k x - force of pressure and flow, taken at the
//   middle of the step; damping by the midpoint rule; Coulomb friction as an impulse that can stop
//   but never reverse the plunger (so it sticks)
//   An impact is located as the root of x + v t + a t^2/2 = c; then v+ = -e v- and the rest of the
//   step flies on. A rebound that would end within two steps is rest: it is lower than a dt^2
//   (0.1 um at 1000 m/s2). A stiff penalty contact had the wrong restitution and cost 1 mm.
//
// In       force at mid-step; lift in [0, travel]
// Out      lift and speed at the end, mean lift for the flow, whether it hit
// State    PlungerState, the caller's       Errors  none
// Source   rigid body with Newton's law of restitution
// Checked  tests/model/valve/plunger_test.cc
#pragma once

#include "model/number.h"
#include "model/row_params.h"

namespace model {

template <class Real>
struct PlungerPlan {
  Real step_s{};
  Real per_step_ps{};
  Real step_over_mass_spkg{};
  Real preload_n{};
  Real spring_npm{};
  Real damping_keeps_ratio{};  // 1 - b dt / (2 m)
  Real damping_slows_ratio{};  // 1 / (1 + b dt / (2 m))
  Real friction_mps{};         // Fc dt / m
  Real travel_m{};
  Real restitution_ratio{};
};

template <class Real>
struct PlungerState {
  Real lift_m{};
  Real speed_mps{};
  Real acceleration_mps2{};  // of the last step, for the guess of the next one's middle
};

template <class Real>
struct PlungerMiddle {
  Real lift_m{};
  Real speed_mps{};
};

inline PlungerPlan<double> make_plunger_plan(const Plunger& plunger, double step_s) {
  const double half_damping_ratio = 0.5 * plunger.damping_nspm * step_s / plunger.mass_kg;
  return {.step_s = step_s,
          .per_step_ps = 1.0 / step_s,
          .step_over_mass_spkg = step_s / plunger.mass_kg,
          .preload_n = plunger.preload_n,
          .spring_npm = plunger.spring_rate_npm,
          .damping_keeps_ratio = 1.0 - half_damping_ratio,
          .damping_slows_ratio = 1.0 / (1.0 + half_damping_ratio),
          .friction_mps = plunger.coulomb_friction_n * step_s / plunger.mass_kg,
          .travel_m = plunger.travel_m,
          .restitution_ratio = plunger.restitution_ratio};
}

/// Where the plunger will be at the middle of the step, guessed to second order.
template <class Real>
inline PlungerMiddle<Real> plunger_middle(const PlungerPlan<Real>& plan,
                                          const PlungerState<Real>& state) {
  const Real half_s = Real(0.5) * plan.step_s;
  const Real speed_mps = state.speed_mps + half_s * state.acceleration_mps2;
  const Real lift_m =
      state.lift_m + half_s * (state.speed_mps + Real(0.5) * half_s * state.acceleration_mps2);
  return {.lift_m = min_of(max_of(lift_m, Real(0.0)), plan.travel_m), .speed_mps = speed_mps};
}

template <class Real>
struct PlungerMove {
  PlungerState<Real> after;
  Real mean_lift_m{};
  MaskOf<Real> hit{};  // the guess of the middle no longer holds
};

/// Flight after an impact on `wall_m` within the step; acceleration constant. Rest when the rebound
/// is too short to see.
template <class Real, class Mask>
inline void bounce(const PlungerPlan<Real>& plan, const PlungerState<Real>& before,
                   Real acceleration_mps2, Real wall_m, Mask hits, PlungerMove<Real>& move) {
  const Real gap_m = wall_m - before.lift_m;  // signed like the speed at impact
  const Real v2 = before.speed_mps * before.speed_mps + Real(2.0) * acceleration_mps2 * gap_m;
  const Real size_mps = sqrt_of(max_of(v2, Real(0.0)));
  const auto upward = wall_m > Real(0.0);
  const Real impact_mps = select(upward, size_mps, -size_mps);
  const Real both_mps = before.speed_mps + impact_mps;
  const auto moving = abs_of(both_mps) > Real(0.0);
  const Real flight_s =
      select(moving, Real(2.0) * gap_m / select(moving, both_mps, Real(1.0)), Real(0.0));
  const Real reach_s = min_of(max_of(flight_s, Real(0.0)), plan.step_s);
  const Real left_s = plan.step_s - reach_s;
  const Real rebound_mps = -plan.restitution_ratio * impact_mps;
  const Real speed_mps = rebound_mps + acceleration_mps2 * left_s;
  const Real lift_m = wall_m + left_s * (rebound_mps + Real(0.5) * acceleration_mps2 * left_s);
  const Real toward_mps2 =
      select(upward, acceleration_mps2, -acceleration_mps2);  // > 0: pressed on the wall
  const auto rests = (abs_of(rebound_mps) <= toward_mps2 * plan.step_s) |
                     ((lift_m - wall_m) * impact_mps > Real(0.0));
  const Real end_lift_m = select(rests, wall_m, min_of(max_of(lift_m, Real(0.0)), plan.travel_m));
  move.after.lift_m = select(hits, end_lift_m, move.after.lift_m);
  move.after.speed_mps = select(hits, select(rests, Real(0.0), speed_mps), move.after.speed_mps);
  move.after.acceleration_mps2 =
      select(hits, select(rests, Real(0.0), acceleration_mps2), move.after.acceleration_mps2);
  const Real mean_m = (Real(0.5) * (before.lift_m + wall_m) * reach_s +
                       Real(0.5) * (wall_m + end_lift_m) * left_s) /
                      plan.step_s;
  move.mean_lift_m = select(hits, mean_m, move.mean_lift_m);
}

/// One step under f (without damping and friction). middle: the guess at which f was taken.
template <class Real>
inline PlungerMove<Real> move_plunger(const PlungerPlan<Real>& plan,
                                      const PlungerState<Real>& before, Real force_n,
                                      const PlungerMiddle<Real>& middle) {
  const Real free_mps =
      (before.speed_mps * plan.damping_keeps_ratio + force_n * plan.step_over_mass_spkg) *
      plan.damping_slows_ratio;
  const Real slowed_mps = max_of(abs_of(free_mps) - plan.friction_mps, Real(0.0));
  const Real after_mps = select(free_mps < Real(0.0), -slowed_mps, slowed_mps);
  // At rest on a wall and pressed onto it: the wall carries the force.
  const auto held =
      ((before.lift_m <= Real(0.0)) & (before.speed_mps <= Real(0.0)) & (after_mps <= Real(0.0))) |
      ((before.lift_m >= plan.travel_m) & (before.speed_mps >= Real(0.0)) &
       (after_mps >= Real(0.0)));
  const Real speed_mps = select(held, Real(0.0), after_mps);
  const Real acceleration_mps2 =
      select(held, Real(0.0), (after_mps - before.speed_mps) * plan.per_step_ps);
  const Real moved_m =
      select(held, Real(0.0), Real(0.5) * (before.speed_mps + after_mps) * plan.step_s);
  PlungerMove<Real> move;
  move.after = {.lift_m = before.lift_m + moved_m,
                .speed_mps = speed_mps,
                .acceleration_mps2 = acceleration_mps2};
  move.mean_lift_m = middle.lift_m;
  const auto below = move.after.lift_m < Real(0.0);
  const auto above = move.after.lift_m > plan.travel_m;
  if (any(below | above)) [[unlikely]] {
    move.hit = below | above;
    bounce(plan, before, acceleration_mps2, Real(0.0), below, move);
    bounce(plan, before, acceleration_mps2, plan.travel_m, above, move);
  }
  return move;
}

}  // namespace model
