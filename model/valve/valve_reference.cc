#include "model/valve/valve_reference.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "model/integrate.h"
#include "shared/check.h"

namespace model {
namespace {

// Current (of a solenoid by its linkage: linkage), lift, speed, volume through the seat; with books
// the four energies after them.
constexpr int kCoil = 0, kLift = 1, kSpeed = 2, kVolume = 3;
constexpr int kTerminals = 4, kCopper = 5, kEddy = 6, kMechanical = 7;
constexpr std::size_t kPlain = 4, kBooked = 8;

constexpr double kVolumeScale_pm3 = 1e9;
constexpr int kMostContacts = 1000;
constexpr double kBoundSlack_a = 1e-12;

template <std::size_t N>
struct Within {
  using Motion = std::array<double, N>;

  const ValvePlan<double>& plan;
  const Valve& valve;
  const Tolerance& tolerance;
  SeatView<double> view;
  double swept_mean_mps = 0.0;  // plunger speed at which the view was taken
  double voltage_v = 0.0;
  double low_a = -HUGE_VAL, high_a = HUGE_VAL;  // what diodes and limit allow
  double held_a = std::nan("");                 // a bound that is reached holds the current
  double off_v = 0.0;                           // a chopper's voltage with the switch off
  bool chops = false;                           // at the limit the switch turns off
  bool off = false;
  bool held = false;  // at rest on seat or stop
  double slides_ratio =
      0.0;  // +1 up, -1 down: the way of a flight, until it turns; 0: by the speed

  double flow_m3ps(double lift_m, double speed_mps, double& drop_pa) const {
    const double seen_pa =
        view.drop_pa + view.line_paspm3 * plan.seat.area_m2 * (speed_mps - swept_mean_mps);
    const double q_m3ps = valve_flow_m3ps(plan.seat, lift_m, seen_pa, view.line_paspm3);
    drop_pa = seen_pa - view.line_paspm3 * q_m3ps;
    return q_m3ps;
  }
  bool holds_current() const { return !std::isnan(held_a); }
  GapLinkage<double> gap_of(const Motion& y) const {
    return pulling_linkage(plan.actuator, y[kCoil], y[kLift]);
  }
  /// How the current, or the linkage, moves while only the bridge's voltage acts.
  double free_rate(const Motion& y) const {  // tidy: unit is A/s or V
    const Coil& coil = valve.coil;
    if (!plan.actuator.by_linkage)
      return (voltage_v - coil.resistance_ohm * y[kCoil] - coil.force_constant_npa * y[kSpeed]) /
             coil.inductance_h;
    return (voltage_v - coil.resistance_ohm * gap_of(y).current_a) /
           (1.0 + coil.resistance_ohm * plan.actuator.iron.eddy_siemens);
  }
  double coil_rate(const Motion& y) const {  // tidy: unit is A/s or V
    if (!holds_current()) return free_rate(y);
    if (!plan.actuator.by_linkage) return 0.0;
    const GapLinkage<double> gap = gap_of(y);
    const double eddy_siemens = plan.actuator.iron.eddy_siemens;
    if (eddy_siemens > 0.0) return (held_a - gap.current_a) / eddy_siemens;
    // The linkage follows the closing gap: di = (di/dy) dy + (di/dx) dx = 0.
    return by_lift_apm(y, gap) * y[kSpeed] / gap.slope_a_pvs;
  }
  /// -di/dx at constant linkage, which is dF/dy.
  double by_lift_apm(const Motion& y, const GapLinkage<double>& gap) const {
    if (plan.actuator.by_table)
      return flux_of_linkage(plan.actuator.table, y[kCoil], y[kLift]).by_lift_apm;
    return plan.actuator.iron.per_henry_metre_aptm * gap.linkage_vs * gap.share;
  }
  double winding_a(const Motion& y) const {
    if (holds_current()) return held_a;
    if (!plan.actuator.by_linkage) return y[kCoil];
    return gap_of(y).current_a + plan.actuator.iron.eddy_siemens * free_rate(y);
  }
  /// Below 0 once the current has passed a bound.
  double margin_a(const Motion& y) const {
    if (holds_current()) return HUGE_VAL;
    const double now_a = winding_a(y);
    return std::min(now_a - low_a, high_a - now_a) + kBoundSlack_a;
  }
  void bind(Motion& y) {
    if (chops && high_a - winding_a(y) < winding_a(y) - low_a) {
      turn_off();
      return;
    }
    held_a = winding_a(y) - low_a < high_a - winding_a(y) ? low_a : high_a;
    if (!plan.actuator.by_linkage) y[kCoil] = held_a;
  }
  void turn_off() {
    off = true;
    voltage_v = off_v;
    high_a = HUGE_VAL;
  }
  double magnet_n(const Motion& y) const {
    return plan.actuator.by_linkage ? pull_n(plan.actuator, gap_of(y).linkage_vs, y[kLift])
                                    : valve.coil.force_constant_npa * y[kCoil];
  }
  double force_n(const Motion& y) const {
    double drop_pa = 0.0;
    flow_m3ps(y[kLift], y[kSpeed], drop_pa);
    return magnet_n(y) - valve.plunger.preload_n - valve.plunger.spring_rate_npm * y[kLift] -
           valve.plunger.damping_nspm * y[kSpeed] - seat_force_n(plan.seat, y[kLift], drop_pa);
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
    rate[kCoil] = coil_rate(y);
    rate[kLift] = held ? 0.0 : y[kSpeed];
    rate[kSpeed] = held ? 0.0 : accelerate_mps2(y);
    double drop_pa = 0.0;
    rate[kVolume] = kVolumeScale_pm3 * flow_m3ps(y[kLift], y[kSpeed], drop_pa);
    if constexpr (N == kBooked) keep_books(y, rate);
  }
  void keep_books(const Motion& y, Motion& rate) const {
    const Coil& coil = valve.coil;
    const double now_a = winding_a(y);
    const double induced_v = plan.actuator.by_linkage ? rate[kCoil]
                                                      : coil.inductance_h * rate[kCoil] +
                                                            coil.force_constant_npa * rate[kLift];
    const double across_v = holds_current() ? coil.resistance_ohm * now_a + induced_v : voltage_v;
    rate[kTerminals] = across_v * now_a;
    rate[kCopper] = coil.resistance_ohm * now_a * now_a;
    rate[kEddy] =
        plan.actuator.by_linkage ? plan.actuator.iron.eddy_siemens * induced_v * induced_v : 0.0;
    rate[kMechanical] = magnet_n(y) * rate[kLift];
  }
  Motion at_wall(const Motion& y, double lift_m) const {
    Motion still{};
    still[kCoil] = y[kCoil];
    still[kLift] = lift_m;
    return still;
  }
};

template <class Motion>
bool on_seat(const Motion& y) {
  return y[kLift] <= 0.0 && y[kSpeed] <= 0.0;
}
template <class Motion>
bool on_stop(const Motion& y, double travel_m) {
  return y[kLift] >= travel_m && y[kSpeed] >= 0.0;
}

/// After a contact: rebound, or rest where the rebound would end within two steps.
template <std::size_t N>
void rebound(const Within<N>& within, double step_s, double wall_m, std::array<double, N>& y) {
  y[kLift] = wall_m;
  y[kSpeed] *= -within.valve.plunger.restitution_ratio;
  std::array<double, N> still = y;
  still[kSpeed] = 0.0;
  const double toward_mps2 = (wall_m > 0.0 ? 1.0 : -1.0) * within.accelerate_mps2(still);
  if (std::abs(y[kSpeed]) <= toward_mps2 * step_s) y[kSpeed] = 0.0;
}

/// Moves y until the event, or until the current reaches a bound, which then holds it or turns a
/// chopper's switch off.
template <std::size_t N, class Event>
double integrate_bounded_s(Within<N>& within, double left_s, const Event& event,
                           std::array<double, N>& y) {
  const auto both = [&](const auto& at) { return std::min(event(at), within.margin_a(at)); };
  const double moved_s = integrate_until_s(y, left_s, within, both, within.tolerance);
  if (within.margin_a(y) < 0.0) within.bind(y);
  return moved_s;
}

/// Flight until a wall or, with friction, until the plunger turns: while it slides one way the
/// equations are smooth, across a turn they are not, and an integrator would creep there. Returns
/// the time that went by.
template <std::size_t N>
double fly(Within<N>& within, double step_s, double left_s, std::array<double, N>& y) {
  const double travel_m = within.valve.plunger.travel_m;
  const bool rubs = within.valve.plunger.coulomb_friction_n > 0.0;
  const bool up = y[kSpeed] > 0.0 || (!(y[kSpeed] < 0.0) && within.force_n(y) > 0.0);
  const double way_ratio = up ? 1.0 : -1.0;
  const auto walls = [&](const auto& at) {
    return std::min(at[kLift], travel_m - at[kLift]) + 1e-13;
  };
  const auto inside = [&](const auto& at) {
    return rubs ? std::min(walls(at), way_ratio * at[kSpeed] + 1e-9) : walls(at);
  };
  within.slides_ratio = rubs ? way_ratio : 0.0;
  const double flown_s = integrate_bounded_s(within, left_s, inside, y);
  within.slides_ratio = 0.0;
  if (walls(y) < 0.0)
    rebound(within, step_s, y[kLift] < 0.5 * travel_m ? 0.0 : travel_m, y);
  else if (inside(y) < 0.0)
    y[kSpeed] = 0.0;
  return flown_s;
}

/// Moves y through a stretch of the step, contact by contact.
template <std::size_t N>
void run_stretch(Within<N>& within, double step_s, double left_s, std::array<double, N>& y) {
  const double travel_m = within.valve.plunger.travel_m;
  for (int contact = 0; contact < kMostContacts && left_s > 1e-14; ++contact) {
    const bool pressed_down = on_seat(y) && within.accelerate_mps2(within.at_wall(y, 0.0)) <= 0.0;
    const bool pressed_up =
        on_stop(y, travel_m) && within.accelerate_mps2(within.at_wall(y, travel_m)) >= 0.0;
    within.held = pressed_down || pressed_up;
    if (within.held) {
      y[kSpeed] = 0.0;
      // The plunger leaves the wall when the force changes sign: an event of its own.
      const double way_ratio = pressed_down ? -1.0 : 1.0;
      const auto pressed = [&](const auto& at) {
        return way_ratio * within.accelerate_mps2(at) + 1e-9;
      };
      left_s -= integrate_bounded_s(within, left_s, pressed, y);
    } else if (within.sticks(y)) {
      // Held by friction between its walls until the force outgrows it.
      within.held = true;
      const auto sticking = [&](const auto& at) {
        return within.valve.plunger.coulomb_friction_n - std::abs(within.force_n(at)) + 1e-9;
      };
      left_s -= integrate_bounded_s(within, left_s, sticking, y);
      within.held = false;
    } else {
      left_s -= fly(within, step_s, left_s, y);
    }
  }
  ENSURES(left_s <= 1e-14);
}

/// A current at a bound that would pass it is held at once.
template <std::size_t N>
void bind_at_once(Within<N>& within, std::array<double, N>& y) {
  constexpr double kGlance_s = 1e-12;
  std::array<double, N> soon = y;
  soon[kCoil] += kGlance_s * within.free_rate(y);
  soon[kLift] += kGlance_s * y[kSpeed];
  const double now_a = within.winding_a(y), soon_a = within.winding_a(soon);
  const bool falls = now_a <= within.low_a && soon_a < within.low_a;
  const bool rises = now_a >= within.high_a && soon_a > within.high_a;
  if (falls || rises) within.bind(y);
}

/// Voltage and bounds of the step.
template <std::size_t N>
void set_bridge(Within<N>& within, double current_a, const RowStepInput& in,
                std::array<double, N>& y) {
  const BridgeEnds& ends = within.plan.coil.ends;
  within.voltage_v = bridge_voltage_v(current_a, in, ends);
  const bool driven = in.drive_ratio > 0.0;
  if (in.reverse_ratio == 0.0) {
    if (!(current_a < 0.0)) within.low_a = 0.0;
    if (current_a < 0.0 && !driven) within.high_a = 0.0;
  }
  if (driven && in.current_limit_a > 0.0) {
    if (current_a > in.current_limit_a) {  // the bridge freewheels down to a lower limit
      within.voltage_v = -ends.diode_v;
      within.low_a = in.current_limit_a;
    } else {
      within.high_a = in.current_limit_a;
    }
  }
  bind_at_once(within, y);
}

/// Moves y through a driven step stretch by stretch between the edges of a chopper's clock
/// (model/valve/chopper.h).
template <std::size_t N>
void run_chopped(Within<N>& within, double step_s, const RowStepInput& in,
                 ChopperState<double>& chopper, double current_a, std::array<double, N>& y) {
  constexpr double kNone_s = 1e-15;
  const BridgeEnds& ends = within.plan.coil.ends;
  RowStepInput freewheel = in;
  freewheel.drive_ratio = 0.0;
  const double on_v = bridge_voltage_v(current_a, in, ends);
  within.off_v = bridge_voltage_v(current_a, freewheel, ends);
  within.chops = true;
  if (in.reverse_ratio == 0.0 && !(current_a < 0.0)) within.low_a = 0.0;
  double since_s = chopper.runs_ratio > 0.5 ? chopper.since_s : -(1.0 - in.drive_ratio) * step_s;
  within.off = chopper.runs_ratio > 0.5 && chopper.off_ratio > 0.5;
  for (double left_s = step_s; left_s > 1e-14;) {
    if (ends.chop_s - since_s <= kNone_s) {
      since_s = 0.0;
      within.off = false;
    }
    within.held_a = std::nan("");
    within.voltage_v = within.off ? within.off_v : on_v;
    within.high_a = within.off ? HUGE_VAL : in.current_limit_a;
    if (!within.off && within.winding_a(y) >= in.current_limit_a) within.turn_off();
    bind_at_once(within, y);
    const double span_s = std::min(left_s, ends.chop_s - since_s);
    run_stretch(within, step_s, span_s, y);
    left_s -= span_s;
    since_s += span_s;
  }
  chopper = {.since_s = since_s, .off_ratio = within.off ? 1.0 : 0.0, .runs_ratio = 1.0};
}

template <std::size_t N>
std::array<double, N> run_step(const ValvePlan<double>& plan, const Valve& valve,
                               const SeatView<double>& view, double swept_mean_mps,
                               ValveState<double>& state, const RowStepInput& in,
                               const Tolerance& tolerance) {
  const double step_s = plan.plunger.step_s;
  Within<N> within{.plan = plan,
                   .valve = valve,
                   .tolerance = tolerance,
                   .view = view,
                   .swept_mean_mps = swept_mean_mps};
  std::array<double, N> y{};
  y[kCoil] = plan.actuator.by_linkage ? state.linkage_vs : state.current_a;
  y[kLift] = state.plunger.lift_m;
  y[kSpeed] = state.plunger.speed_mps;
  const bool chops = plan.coil.ends.chop_s > 0.0 && in.current_limit_a > 0.0;
  if (chops && in.drive_ratio > 0.0) {
    run_chopped(within, step_s, in, state.chopper, state.current_a, y);
  } else {
    state.chopper = {};
    set_bridge(within, state.current_a, in, y);
    run_stretch(within, step_s, step_s, y);
  }
  state.current_a = within.winding_a(y);
  state.linkage_vs = plan.actuator.by_linkage ? y[kCoil] : 0.0;
  return y;
}

}  // namespace

NodeFlows<double> step_valve_reference(const ValvePlan<double>& plan, const Valve& valve,
                                       ValveState<double>& state, double f_pa, double g_pa,
                                       const RowStepInput& in, const Tolerance& tolerance,
                                       EnergyBooks* books) {
  const double step_s = plan.plunger.step_s;
  const PlungerMiddle<double> middle = plunger_middle(plan.plunger, state.plunger);
  SeatView<double> view;
  solve_node(plan.node, plan.seat, f_pa, g_pa, middle.lift_m, middle.speed_mps, state.pockets,
             view);
  std::array<double, kPlain> y{};
  if (books == nullptr) {
    y = run_step<kPlain>(plan, valve, view, middle.speed_mps, state, in, tolerance);
  } else {
    const auto booked =
        run_step<kBooked>(plan, valve, view, middle.speed_mps, state, in, tolerance);
    std::copy_n(booked.begin(), kPlain, y.begin());
    books->terminals_j += booked[kTerminals];
    books->copper_j += booked[kCopper];
    books->eddy_j += booked[kEddy];
    books->mechanical_j += booked[kMechanical];
  }
  const double lift_before_m = state.plunger.lift_m;
  const double speed_before_mps = state.plunger.speed_mps;
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
