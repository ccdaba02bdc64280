#include "sim/study/rig/valve_drive.h"

#include <fmt/format.h>

#include <algorithm>

#include "model/denormals.h"
#include "model/valve/copper.h"
#include "model/valve/solenoid.h"
#include "shared/units.h"
#include "sim/bench/pass.h"
#include "sim/scenario/loader.h"

namespace sim::rig {
namespace {

constexpr double kNearWall_ratio = 0.02;  // of the travel: from here on a landing is extrapolated
constexpr double kOffWall_ratio = 0.005;  // of the travel: beyond this the plunger has bounced off
constexpr long long kStepsBetweenStops = 4096;

/// One step of the row, as the pulses need it.
struct Step {
  double from_s = 0.0, to_s = 0.0;
  double lift_before_m = 0.0, lift_m = 0.0;
  double flow_before_m3ps = 0.0, flow_m3ps = 0.0;  // means, at the middles of steps
};

/// Follows one pulse from its command on until the next one's.
class PulseWatch {
 public:
  PulseWatch(const bench::PulseCommand& command, double travel_m, double half_m3ps)
      : command_(command), travel_m_(travel_m), half_m3ps_(half_m3ps) {}

  void take(const Step& step) {
    pulse_.largest_lift_m = std::max(pulse_.largest_lift_m, step.lift_m);
    rise(step);
    fall(step);
    flow(step);
  }
  void hold(double current_a) { pulse_.hold_a = current_a; }
  TimedPulse& pulse() { return pulse_; }

 private:
  static double speed_mps(const Step& step) {
    return (step.lift_m - step.lift_before_m) / (step.to_s - step.from_s);
  }
  void rise(const Step& step) {
    const double near_m = (1.0 - kNearWall_ratio) * travel_m_;
    if (!(pulse_.first_motion_s == pulse_.first_motion_s) && step.lift_m > 0.0)
      pulse_.first_motion_s = 0.5 * (step.from_s + step.to_s) - command_.on_s;
    if (!(pulse_.at_stop_s == pulse_.at_stop_s) && step.lift_m >= near_m) {
      const double before_m = std::min(step.lift_before_m, near_m);
      const double after_m = std::max(step.lift_m, near_m);
      const double at_near_s =
          step.to_s - (step.lift_m - near_m) / (after_m - before_m) * (step.to_s - step.from_s);
      const double fast_mps = std::max(speed_mps(step), last_speed_mps_);
      pulse_.at_stop_s = at_near_s + (travel_m_ - near_m) / fast_mps - command_.on_s;
    } else if (pulse_.at_stop_s == pulse_.at_stop_s && step.to_s <= command_.off_s) {
      pulse_.stop_rebound_m = std::max(pulse_.stop_rebound_m, travel_m_ - step.lift_m);
      if (step.lift_m < (1.0 - kOffWall_ratio) * travel_m_)
        pulse_.stop_bounce_s = std::max(0.0, step.to_s - command_.on_s - pulse_.at_stop_s);
    }
    last_speed_mps_ = speed_mps(step);
  }
  void fall(const Step& step) {
    if (step.to_s <= command_.off_s || !(pulse_.first_motion_s == pulse_.first_motion_s)) return;
    const double near_m = kNearWall_ratio * travel_m_;
    if (!(pulse_.left_stop_s == pulse_.left_stop_s) && step.lift_m < step.lift_before_m)
      pulse_.left_stop_s = 0.5 * (step.from_s + step.to_s) - command_.off_s;
    if (!(pulse_.seated_s == pulse_.seated_s)) {
      if (step.lift_m < step.lift_before_m && step.lift_before_m > near_m)
        fall_mps_ = -speed_mps(step);
      if (step.lift_m > near_m) return;
      const double left_s = fall_mps_ > 0.0 ? step.lift_m / fall_mps_ : 0.0;
      const double way_s = fall_mps_ > 0.0 ? step.lift_before_m / fall_mps_ : 0.0;
      pulse_.seated_s =
          (step.lift_m > 0.0 ? step.to_s + left_s : std::min(step.from_s + way_s, step.to_s)) -
          command_.off_s;
    } else {
      pulse_.seat_rebound_m = std::max(pulse_.seat_rebound_m, step.lift_m);
      if (step.lift_m > kOffWall_ratio * travel_m_)
        pulse_.seat_bounce_s = std::max(0.0, step.to_s - command_.off_s - pulse_.seated_s);
    }
  }
  void flow(const Step& step) {
    const auto crossing_s = [&] {
      const double share =
          (half_m3ps_ - step.flow_before_m3ps) / (step.flow_m3ps - step.flow_before_m3ps);
      return 0.5 * (step.from_s + step.to_s) - (1.0 - share) * (step.to_s - step.from_s);
    };
    const bool up = step.flow_before_m3ps < half_m3ps_ && step.flow_m3ps >= half_m3ps_;
    const bool down = step.flow_before_m3ps >= half_m3ps_ && step.flow_m3ps < half_m3ps_;
    if (up && !(pulse_.half_up_s == pulse_.half_up_s))
      pulse_.half_up_s = crossing_s() - command_.on_s;
    if (down && step.to_s > command_.off_s)
      pulse_.half_down_s = crossing_s() - command_.off_s;  // where the flow comes back: the last
  }

  bench::PulseCommand command_;
  double travel_m_;
  double half_m3ps_;
  double last_speed_mps_ = 0.0;
  double fall_mps_ = 0.0;
  TimedPulse pulse_;
};

model::RowUnitParams row_under(const RigSetup& setup, const ValveConditions& conditions) {
  model::RowUnitParams row = row_of(setup);
  row.valve.coil.temperature_k = conditions.coil_k;
  return row;
}

double driven_s(std::span<const bench::PulseCommand> commands, std::size_t first, double from_s,
                double to_s) {
  double sum_s = 0.0;
  for (std::size_t k = first; k < commands.size() && commands[k].on_s < to_s; ++k)
    sum_s += std::max(0.0, std::min(to_s, commands[k].off_s) - std::max(from_s, commands[k].on_s));
  return sum_s;
}

model::RowStepInput step_input(const RigSetup& setup, const ValveConditions& conditions,
                               double drive_ratio) {
  return {.supply_pressure_pa = conditions.pressure_pa,
          .supply_voltage_v = conditions.supply_v,
          .current_limit_a = conditions.current_limit_a,
          .drive_ratio = drive_ratio,
          .fast_decay_ratio = setup.drive.decay == CurrentDecay::kFast ? 1.0 - drive_ratio : 0.0};
}

void keep(ValveHistory& history, double at_s, const model::RowStepOutput& out) {
  history.time_s.push_back(at_s);
  history.current_a.push_back(out.current_a);
  history.lift_m.push_back(out.lift_m);
  history.valve_flow_m3ps.push_back(out.valve_flow_m3ps);
  history.outlet_flow_m3ps.push_back(out.outlet_flow_m3ps);
  history.linkage_vs.push_back(out.linkage_vs);
}

}  // namespace

double released_v(const RigSetup& setup, double supply_v) {
  const model::Coil& coil = setup.part.valve.coil;
  if (setup.drive.decay != CurrentDecay::kFast) return 0.0 - coil.diode_v;
  return coil.clamp_v > 0.0 ? -coil.clamp_v : -supply_v;
}

ValveConditions conditions_of(const RigSetup& setup) {
  return {.pressure_pa = setup.supply_pa,
          .supply_v = setup.drive.supply_v,
          .current_limit_a = setup.drive.current_limit_a,
          .coil_k = setup.part.valve.coil.temperature_k};
}

OpeningCurrent opening_current(const RigSetup& setup) {
  const model::Valve& valve = setup.part.valve;
  const double force_n = model::opening_force_n(valve, setup.supply_pa);
  const double resistance_ohm =
      model::copper_ohm(valve.coil.resistance_ohm, valve.coil.temperature_k);
  OpeningCurrent current{.needed_a = model::current_for_pull_a(valve.coil, force_n, 0.0),
                         .reached_a = setup.drive.supply_v / resistance_ohm};
  current.limited =
      setup.drive.current_limit_a > 0.0 && setup.drive.current_limit_a < current.reached_a;
  if (current.limited) current.reached_a = setup.drive.current_limit_a;
  return current;
}

std::string cannot_open_words(const RigSetup& setup) {
  const OpeningCurrent current = opening_current(setup);
  return fmt::format(
      "the valve cannot open: its coil reaches {:.3g} A at {:.3g} V and needs {:.3g} A against "
      "spring and pressure",
      current.reached_a, setup.drive.supply_v, current.needed_a);
}

std::vector<TimedPulse> drive_valve(const RigSetup& setup, const ValveConditions& conditions,
                                    std::span<const bench::PulseCommand> commands, double settle_s,
                                    const std::atomic<bool>* stop, ValveHistory* history) {
  const model::DenormalGuard guard;
  const model::RowUnitParams row = row_under(setup, conditions);
  const double travel_m = row.valve.plunger.travel_m;
  model::RowUnit unit(row, setup.solver, conditions.pressure_pa);
  const double dt_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const double owned_s = 0.9 * unit.fit().tube_travel_time_s;
  const double steady_m3ps = model::steady_flow_m3ps(row, conditions.pressure_pa, travel_m);
  std::vector<PulseWatch> watches;
  for (const bench::PulseCommand& command : commands)
    watches.emplace_back(command, travel_m, 0.5 * steady_m3ps);

  std::size_t now = 0;    // the pulse that drives the plunger
  std::size_t owner = 0;  // the pulse whose liquid leaves the outlet
  double lift_m = 0.0, flow_m3ps = 0.0;
  const double end_s = commands.back().off_s + settle_s;
  for (long long number = 0; static_cast<double>(number) * dt_s < end_s; ++number) {
    if (stop != nullptr && number % kStepsBetweenStops == 0 &&
        stop->load(std::memory_order_relaxed))
      throw bench::Interrupted("interrupted");
    const double from_s = static_cast<double>(number) * dt_s;
    const double to_s = from_s + dt_s;
    while (now + 1 < commands.size() && commands[now + 1].on_s < to_s) ++now;
    while (owner + 1 < commands.size() && commands[owner + 1].on_s + owned_s < to_s) ++owner;
    const double drive_ratio = driven_s(commands, now > 0 ? now - 1 : 0, from_s, to_s) / dt_s;
    const model::RowStepOutput out = unit.step(step_input(setup, conditions, drive_ratio));
    if (out.fault != model::RowFault::kNone)
      throw bench::BenchError(fmt::format("valve: the row left physics at {:.6f} ms", to_s * 1e3));
    if (to_s > commands[now].on_s)
      watches[now].take({from_s, to_s, lift_m, out.lift_m, flow_m3ps, out.outlet_flow_m3ps});
    if (from_s < commands[now].off_s && to_s >= commands[now].off_s)
      watches[now].hold(out.current_a);
    watches[owner].pulse().dose_m3 += out.jet_volume_m3;
    lift_m = out.lift_m;
    flow_m3ps = out.outlet_flow_m3ps;
    if (history != nullptr) keep(*history, to_s, out);
  }
  std::vector<TimedPulse> pulses;
  for (PulseWatch& watch : watches) pulses.push_back(watch.pulse());
  return pulses;
}

HeldLift held_lift(const RigSetup& setup, const ValveConditions& conditions, double current_a) {
  constexpr double kLongEnough_s = 0.25;
  const model::DenormalGuard guard;
  const model::RowUnitParams row = row_under(setup, conditions);
  model::RowUnit unit(row, setup.solver, conditions.pressure_pa);
  const double dt_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  ValveConditions limited = conditions;
  limited.current_limit_a = current_a;
  HeldLift held{.current_a = current_a};
  double mean_ratio = 0.0;
  for (double at_s = 0.0; at_s < kLongEnough_s; at_s += dt_s) {
    const model::RowStepOutput out = unit.step(step_input(setup, limited, 1.0));
    if (out.fault != model::RowFault::kNone)
      throw bench::BenchError(fmt::format("valve: the row left physics at {:.6f} ms", at_s * 1e3));
    if (at_s < 0.8 * kLongEnough_s) continue;
    mean_ratio += 1.0;
    held.lift_m += (out.lift_m - held.lift_m) / mean_ratio;
    held.flow_m3ps += (out.outlet_flow_m3ps - held.flow_m3ps) / mean_ratio;
  }
  return held;
}

}  // namespace sim::rig
