#include "model/valve/valve_reference.h"

#include <array>
#include <cmath>

#include "model/integrate.h"
#include "shared/check.h"

namespace model {
namespace {

using Motion = std::array<double, 4>;  // i, x, v, volume through the seat
constexpr int kCurrent = 0, kLift = 1, kSpeed = 2, kVolume = 3;

// Absolute: 1e-10 in A, m, m/s (0.1 nm of lift) and, with the volume counted in mm3, 1e-19 m3.
constexpr Tolerance kTolerance = {.absolute_ratio = 1e-10, .relative_ratio = 1e-8};
constexpr double kVolumeScale_pm3 = 1e9;
constexpr int kMostContacts = 1000;

struct Within {
  const ValvePlan<double>& plan;
  const Valve& valve;
  SeatView<double> view;
  double swept_mean_mps = 0.0;  // plunger speed at which the view was taken
  double voltage_v = 0.0;
  bool holds_current = false;  // the ideal limit holds the current where it is
  bool held = false;           // at rest on seat or stop
  double slides_ratio =
      0.0;  // +1 up, -1 down: the way of a flight, until it turns; 0: by the speed

  double flow_m3ps(double lift_m, double speed_mps, double& drop_pa) const {
    const double seen_pa =
        view.drop_pa + view.line_paspm3 * plan.seat.area_m2 * (speed_mps - swept_mean_mps);
    const double q_m3ps = valve_flow_m3ps(plan.seat, lift_m, seen_pa, view.line_paspm3);
    drop_pa = seen_pa - view.line_paspm3 * q_m3ps;
    return q_m3ps;
  }
  double force_n(const Motion& y) const {
    double drop_pa = 0.0;
    flow_m3ps(y[kLift], y[kSpeed], drop_pa);
    return valve.coil.force_constant_npa * y[kCurrent] - valve.plunger.preload_n -
           valve.plunger.spring_rate_npm * y[kLift] - valve.plunger.damping_nspm * y[kSpeed] -
           seat_force_n(plan.seat, y[kLift], drop_pa);
  }
  bool sticks(const Motion& y) const {
    const bool still = !(y[kSpeed] > 0.0) && !(y[kSpeed] < 0.0);
    return still && valve.plunger.coulomb_friction_n > 0.0 &&
           std::abs(force_n(y)) <= valve.plunger.coulomb_friction_n;
  }
  double accelerate_mps2(const Motion& y) const {
    const double force_now_n = force_n(y);
    const double friction_n = valve.plunger.coulomb_friction_n;
    if (slides_ratio != 0.0)
      return (force_now_n - friction_n * slides_ratio) / valve.plunger.mass_kg;
    const bool sliding = y[kSpeed] > 0.0 || y[kSpeed] < 0.0;
    if (!sliding && std::abs(force_now_n) <= friction_n) return 0.0;
    const double way_ratio =
        sliding ? (y[kSpeed] > 0.0 ? 1.0 : -1.0) : (force_now_n > 0.0 ? 1.0 : -1.0);
    return (force_now_n - friction_n * way_ratio) / valve.plunger.mass_kg;
  }
  void operator()(const Motion& y, Motion& rate) const {
    rate[kCurrent] = holds_current ? 0.0
                                   : (voltage_v - valve.coil.resistance_ohm * y[kCurrent] -
                                      valve.coil.force_constant_npa * y[kSpeed]) /
                                         valve.coil.inductance_h;
    rate[kLift] = held ? 0.0 : y[kSpeed];
    rate[kSpeed] = held ? 0.0 : accelerate_mps2(y);
    double drop_pa = 0.0;
    rate[kVolume] = kVolumeScale_pm3 * flow_m3ps(y[kLift], y[kSpeed], drop_pa);
  }
};

bool on_seat(const Motion& y) { return y[kLift] <= 0.0 && y[kSpeed] <= 0.0; }
bool on_stop(const Motion& y, double travel_m) { return y[kLift] >= travel_m && y[kSpeed] >= 0.0; }

/// After a contact: rebound, or rest where the rebound would end within two steps.
void rebound(const Within& within, double step_s, double wall_m, Motion& y) {
  y[kLift] = wall_m;
  y[kSpeed] *= -within.valve.plunger.restitution_ratio;
  Motion still = y;
  still[kSpeed] = 0.0;
  const double toward_mps2 = (wall_m > 0.0 ? 1.0 : -1.0) * within.accelerate_mps2(still);
  if (std::abs(y[kSpeed]) <= toward_mps2 * step_s) y[kSpeed] = 0.0;
}

/// Flight until a wall or, with friction, until the plunger turns: while it slides one way the
/// equations are smooth, across a turn they are not, and an integrator would creep there. Returns
/// the time that went by.
double fly(Within& within, double step_s, double left_s, Motion& y) {
  const double travel_m = within.valve.plunger.travel_m;
  const bool rubs = within.valve.plunger.coulomb_friction_n > 0.0;
  const bool up = y[kSpeed] > 0.0 || (!(y[kSpeed] < 0.0) && within.force_n(y) > 0.0);
  const double way_ratio = up ? 1.0 : -1.0;
  const auto walls = [&](const Motion& at) {
    return std::min(at[kLift], travel_m - at[kLift]) + 1e-13;
  };
  const auto inside = [&](const Motion& at) {
    return rubs ? std::min(walls(at), way_ratio * at[kSpeed] + 1e-9) : walls(at);
  };
  within.slides_ratio = rubs ? way_ratio : 0.0;
  const double flown_s = integrate_until_s(y, left_s, within, inside, kTolerance);
  within.slides_ratio = 0.0;
  if (walls(y) < 0.0)
    rebound(within, step_s, y[kLift] < 0.5 * travel_m ? 0.0 : travel_m, y);
  else if (inside(y) < 0.0)
    y[kSpeed] = 0.0;
  return flown_s;
}

/// Moves y through the whole step, contact by contact.
void run_step(Within& within, double step_s, Motion& y) {
  const double travel_m = within.valve.plunger.travel_m;
  double left_s = step_s;
  for (int contact = 0; contact < kMostContacts && left_s > 1e-14; ++contact) {
    const bool pressed_down =
        on_seat(y) && within.accelerate_mps2({y[kCurrent], 0.0, 0.0, 0.0}) <= 0.0;
    const bool pressed_up =
        on_stop(y, travel_m) && within.accelerate_mps2({y[kCurrent], travel_m, 0.0, 0.0}) >= 0.0;
    within.held = pressed_down || pressed_up;
    if (within.held) {
      y[kSpeed] = 0.0;
      // The plunger leaves the wall when the force changes sign: an event of its own.
      const double way_ratio = pressed_down ? -1.0 : 1.0;
      const auto pressed = [&](const Motion& at) {
        return way_ratio * within.accelerate_mps2(at) + 1e-9;
      };
      left_s -= integrate_until_s(y, left_s, within, pressed, kTolerance);
    } else if (within.sticks(y)) {
      // Held by friction between its walls until the force outgrows it.
      within.held = true;
      const auto sticking = [&](const Motion& at) {
        return within.valve.plunger.coulomb_friction_n - std::abs(within.force_n(at)) + 1e-9;
      };
      left_s -= integrate_until_s(y, left_s, within, sticking, kTolerance);
      within.held = false;
    } else {
      left_s -= fly(within, step_s, left_s, y);
    }
  }
  ENSURES(left_s <= 1e-14);
}

}  // namespace

NodeFlows<double> step_valve_reference(const ValvePlan<double>& plan, const Valve& valve,
                                       ValveState<double>& state, double f_pa, double g_pa,
                                       const RowStepInput& in) {
  const double step_s = plan.plunger.step_s;
  const PlungerMiddle<double> middle = plunger_middle(plan.plunger, state.plunger);
  Within within{.plan = plan, .valve = valve, .view = {}, .swept_mean_mps = middle.speed_mps};
  solve_node(plan.node, plan.seat, f_pa, g_pa, middle.lift_m, middle.speed_mps, state.pockets,
             within.view);
  within.voltage_v = bridge_voltage_v(state.current_a, in);
  within.holds_current =
      in.current_limit_a > 0.0 && in.drive_ratio > 0.0 && state.current_a == in.current_limit_a;
  Motion y = {state.current_a, state.plunger.lift_m, state.plunger.speed_mps, 0.0};
  run_step(within, step_s, y);
  const double slow_a = coil_current_a(plan.coil, state.current_a, middle.speed_mps,
                                       RowStepInput{.supply_voltage_v = 0.0});
  const double lift_before_m = state.plunger.lift_m;
  const double speed_before_mps = state.plunger.speed_mps;
  state.current_a = bridge_clip_a(state.current_a, y[kCurrent], slow_a, in);
  state.plunger = {.lift_m = std::min(std::max(y[kLift], 0.0), plan.plunger.travel_m),
                   .speed_mps = y[kSpeed],
                   .acceleration_mps2 = (y[kSpeed] - speed_before_mps) / step_s};
  const double swept_m3ps = plan.seat.area_m2 * (state.plunger.lift_m - lift_before_m) / step_s;
  const double seat_m3ps = y[kVolume] / kVolumeScale_pm3 / step_s;
  const NodeFlows<double> node =
      close_node(plan.node, f_pa, g_pa, seat_m3ps, swept_m3ps, state.pockets);
  state.pockets = node.pockets;
  return node;
}

}  // namespace model
