// A valve driven through a list of commands on its bench, and the figures of each pulse: when the
// plunger left seat and stop and landed there, when half of the flow had come and gone, and the
// dose.
//
//   landing   lift crosses 98 % of the travel (2 % going down); the plunger's speed there gives the
//             instant at which it reaches the wall
//   bounce    from the first landing to the last instant at which the plunger is off the wall by
//             more than 0.5 % of the travel
//   half      outlet flow crosses half of the steady flow, interpolated between the middles of
//             steps
//   dose      what leaves the outlet from 0.9 L/a after the command on until 0.9 L/a after the next
//
// Shapes   one TimedPulse per command, in order; its instants count from its own command on or off
// Errors   BenchError when the model leaves physics; Interrupted
// Checked  tests/sim/study/rig/valve_drive_test.cc
#pragma once

#include <atomic>
#include <limits>
#include <span>
#include <string>
#include <vector>

#include "sim/bench/pulse_record.h"
#include "sim/study/rig/rig_setup.h"

namespace sim::rig {

struct ValveConditions {
  double pressure_pa = 3e5;
  double supply_v = 12.0;
  double current_limit_a = 0.0;
  double coil_k = 293.15;
};

struct TimedPulse {
  static constexpr double kNever_s = std::numeric_limits<double>::quiet_NaN();
  double first_motion_s = kNever_s, at_stop_s = kNever_s, half_up_s = kNever_s;  // after on
  double left_stop_s = kNever_s, seated_s = kNever_s, half_down_s = kNever_s;    // after off
  double stop_bounce_s = 0.0, stop_rebound_m = 0.0;
  double seat_bounce_s = 0.0, seat_rebound_m = 0.0;
  double largest_lift_m = 0.0;
  double hold_a = 0.0;  // current at the command off
  double dose_m3 = 0.0;
};

struct ValveHistory {
  std::vector<double> time_s;  // ends of steps
  std::vector<double> current_a, lift_m, valve_flow_m3ps, outlet_flow_m3ps;
  std::vector<double> linkage_vs;  // zero with the linear force law
};

/// Voltage at the coil's terminals while its current runs out: the clamp, the supply or the diode.
double released_v(const RigSetup& setup, double supply_v);

ValveConditions conditions_of(const RigSetup& setup);
/// The current that lifts the plunger off its seat against spring, friction and pressure, and what
/// the supply drives through the coil, warm as it is and within its limit.
struct OpeningCurrent {
  double needed_a = 0.0;
  double reached_a = 0.0;
  bool limited = false;  // by the current limit, not by voltage and resistance
  bool opens() const { return reached_a > needed_a; }
};
OpeningCurrent opening_current(const RigSetup& setup);
/// "the valve cannot open: its coil reaches 0.025 A at 0.1 V and needs 1.55 A against spring and
/// pressure"
std::string cannot_open_words(const RigSetup& setup);
/// `settle_s` is simulated after the last command off. `history`, where given, receives every step.
std::vector<TimedPulse> drive_valve(const RigSetup& setup, const ValveConditions& conditions,
                                    std::span<const bench::PulseCommand> commands, double settle_s,
                                    const std::atomic<bool>* stop = nullptr,
                                    ValveHistory* history = nullptr);
/// Steady lift and flow under a constant current.
struct HeldLift {
  double current_a = 0.0;
  double lift_m = 0.0;
  double flow_m3ps = 0.0;
};
HeldLift held_lift(const RigSetup& setup, const ValveConditions& conditions, double current_a);

}  // namespace sim::rig
