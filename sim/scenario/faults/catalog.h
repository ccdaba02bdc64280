// Every fault that a scenario may name, as one plain list. `list faults` prints it.
//
//   A fault acts on a row while from <= t < until. Faults of one kind add up: delays are summed,
//   shares are multiplied. `by` is a time, `amount` a share from 0 to 1, `cause` and `retained` are
//   words, all else whole numbers; a scenario states exactly the keys that the fault has, or a
//   severity in place of those that it leaves out (sim/scenario/fault_severity.h). Faults of the
//   machine's controller or of the bus have no row; a restart or a dip of the supply happens once,
//   at `from`; a fault of the storage has neither `from` nor `until`.
//
// Checked  tests/sim/scenario/loader_test.cc, tests/sim/bench/drives_test.cc
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "sim/scenario/faults/bus_off.h"
#include "sim/scenario/faults/busy_bus.h"
#include "sim/scenario/faults/corrupted_frames.h"
#include "sim/scenario/faults/dead_meter.h"
#include "sim/scenario/faults/dipped_machine.h"
#include "sim/scenario/faults/dipped_row.h"
#include "sim/scenario/faults/direction_error.h"
#include "sim/scenario/faults/direction_not_available.h"
#include "sim/scenario/faults/doubled_edges.h"
#include "sim/scenario/faults/driver_stuck_on.h"
#include "sim/scenario/faults/edge_bursts.h"
#include "sim/scenario/faults/high_voltage.h"
#include "sim/scenario/faults/hot_coil.h"
#include "sim/scenario/faults/jittered_edges.h"
#include "sim/scenario/faults/late_edges.h"
#include "sim/scenario/faults/late_frames.h"
#include "sim/scenario/faults/leaking_valve.h"
#include "sim/scenario/faults/lost_cab_link.h"
#include "sim/scenario/faults/lost_course.h"
#include "sim/scenario/faults/lost_edges.h"
#include "sim/scenario/faults/lost_fast_decay.h"
#include "sim/scenario/faults/lost_frames.h"
#include "sim/scenario/faults/lost_speed.h"
#include "sim/scenario/faults/low_voltage.h"
#include "sim/scenario/faults/lying_meter.h"
#include "sim/scenario/faults/missed_kick.h"
#include "sim/scenario/faults/missed_machine_kick.h"
#include "sim/scenario/faults/open_coil.h"
#include "sim/scenario/faults/plugged_outlet.h"
#include "sim/scenario/faults/plugged_valve.h"
#include "sim/scenario/faults/pressure_rise.h"
#include "sim/scenario/faults/pressure_sag.h"
#include "sim/scenario/faults/radio_jammed.h"
#include "sim/scenario/faults/reordered_frames.h"
#include "sim/scenario/faults/repeated_frames.h"
#include "sim/scenario/faults/restarted_machine.h"
#include "sim/scenario/faults/restarted_row.h"
#include "sim/scenario/faults/second_regulator.h"
#include "sim/scenario/faults/short_frames.h"
#include "sim/scenario/faults/speed_error.h"
#include "sim/scenario/faults/speed_not_available.h"
#include "sim/scenario/faults/speed_too_high.h"
#include "sim/scenario/faults/speed_too_low.h"
#include "sim/scenario/faults/stale_speed.h"
#include "sim/scenario/faults/sticking_plunger.h"
#include "sim/scenario/faults/storage_cut.h"
#include "sim/scenario/faults/storage_damaged.h"
#include "sim/scenario/faults/storage_worn.h"
#include "sim/scenario/faults/stuck_lift_signal.h"
#include "sim/scenario/faults/stuck_regulator.h"
#include "sim/scenario/faults/weak_spring.h"
#include "sim/scenario/scenario.h"

namespace sim::scenario {

using Fault = std::variant<
    LateEdges, LostEdges, DoubledEdges, EdgeBursts, PluggedOutlet, LowVoltage, PressureSag,
    LostSpeed, SpeedError, SpeedNotAvailable, DirectionError, DirectionNotAvailable, StaleSpeed,
    LostCourse, PluggedValve, LostFrames, LateFrames, RepeatedFrames, ReorderedFrames,
    CorruptedFrames, ShortFrames, RestartedRow, RestartedMachine, MissedKick, MissedMachineKick,
    JitteredEdges, SpeedTooHigh, SpeedTooLow, WeakSpring, StickingPlunger, LeakingValve, HotCoil,
    OpenCoil, DriverStuckOn, LostFastDecay, StuckRegulator, PressureRise, HighVoltage, DeadMeter,
    LyingMeter, StuckLiftSignal, DippedRow, DippedMachine, StorageCut, StorageDamaged, StorageWorn,
    RadioJammed, LostCabLink, BusOff, BusyBus, SecondRegulator>;

struct FaultKey {
  std::string name;  // "by", "amount", "cause", "retained", "page"
  std::string help;
  std::span<const std::string_view> words;  // the value is one of these; empty: a number
  WholeRange whole = {};                    // high 0: a quantity
};
struct FaultKind {
  std::string name;
  std::string help;
  std::vector<FaultKey> keys;
  bool once = false;        // happens at `from` and has no `until`
  bool of_machine = false;  // belongs to the machine's controller or the bus: no `row`
  bool of_storage = false;  // of a row controller's storage: no time
  bool disturbs = false;    // what reaches a controller: edges, speed, frames, supply, watchdog
};
const std::vector<FaultKind>& fault_kinds();
bool any_fault_disturbs(const Scenario& scenario);

/// The disturbed plant of a row at an instant, with all faults of the scenario applied.
PlantSeam plant_at(const Scenario& scenario, int row, double time_s);
/// A sensor edge on its way to the controller: takes its instant and draws, returns it with the
/// faults applied.
EdgeSeam bend_edge(const Scenario& scenario, int row, EdgeSeam edge);
/// What the faults change in the frames of the tractor's bus at an instant.
BusSeam bus_at(const Scenario& scenario, double time_s);
/// What the faults change in the pressure regulator, on the cab's bus and in the digital inputs.
SupplySeam supply_at(const Scenario& scenario, double time_s);
CabSeam cab_at(const Scenario& scenario, double time_s);
InputSeam inputs_at(const Scenario& scenario, double time_s);
/// A frame on its way from or to a row, with its draws.
FrameSeam bend_frame(const Scenario& scenario, int row, double time_s, FrameSeam frame);
bool kick_hidden(const Scenario& scenario, int row, double time_s);  // or kMachine

inline constexpr int kMachine = -1;
/// A controller's restarts in order of time; row kMachine stands for the machine's controller.
struct Restart {
  double at_s = 0.0;
  double off_s = 0.0;
  int cause = 0;     // index in kResetCauses
  int retained = 0;  // index in kRetained
};
std::vector<Restart> restarts_of(const Scenario& scenario, int row);
/// What the faults do to the storage of a row's controller, in their order.
std::vector<StorageSeam> storage_faults(const Scenario& scenario, int row);
/// Marks a fault that was seen to act elsewhere.
void mark_acted(const Scenario& scenario, int entry);

/// The entries of the scenario's faults that changed nothing in a pass of `lasted_s`, by index;
/// scenario.fault_marks was there from its start.
std::vector<int> idle_faults(const Scenario& scenario, double lasted_s);

}  // namespace sim::scenario
