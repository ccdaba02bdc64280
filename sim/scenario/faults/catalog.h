// Every fault that a scenario may name: a plain list, seen whole. `list faults` prints it.
//
//   A fault is on for a row while from <= t < until. Faults of one kind add up: delays sum, shares
//   multiply. `by` is a time, `amount` a share from 0 to 1, `cause` and `retained` are words; a
//   scenario states exactly those that the fault has. Faults of the machine's controller or of the
//   bus have no row; a restart happens once, at `from`.
//
// Checked  tests/sim/scenario/loader_test.cc, tests/sim/bench/drives_test.cc
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "sim/scenario/faults/corrupted_frames.h"
#include "sim/scenario/faults/direction_error.h"
#include "sim/scenario/faults/direction_not_available.h"
#include "sim/scenario/faults/doubled_edges.h"
#include "sim/scenario/faults/edge_bursts.h"
#include "sim/scenario/faults/late_edges.h"
#include "sim/scenario/faults/late_frames.h"
#include "sim/scenario/faults/lost_course.h"
#include "sim/scenario/faults/lost_edges.h"
#include "sim/scenario/faults/lost_frames.h"
#include "sim/scenario/faults/lost_speed.h"
#include "sim/scenario/faults/low_voltage.h"
#include "sim/scenario/faults/missed_kick.h"
#include "sim/scenario/faults/missed_machine_kick.h"
#include "sim/scenario/faults/plugged_outlet.h"
#include "sim/scenario/faults/plugged_valve.h"
#include "sim/scenario/faults/pressure_sag.h"
#include "sim/scenario/faults/reordered_frames.h"
#include "sim/scenario/faults/repeated_frames.h"
#include "sim/scenario/faults/restarted_machine.h"
#include "sim/scenario/faults/restarted_row.h"
#include "sim/scenario/faults/short_frames.h"
#include "sim/scenario/faults/speed_error.h"
#include "sim/scenario/faults/speed_not_available.h"
#include "sim/scenario/faults/stale_speed.h"
#include "sim/scenario/scenario.h"

namespace sim::scenario {

using Fault =
    std::variant<LateEdges, LostEdges, DoubledEdges, EdgeBursts, PluggedOutlet, LowVoltage,
                 PressureSag, LostSpeed, SpeedError, SpeedNotAvailable, DirectionError,
                 DirectionNotAvailable, StaleSpeed, LostCourse, PluggedValve, LostFrames,
                 LateFrames, RepeatedFrames, ReorderedFrames, CorruptedFrames, ShortFrames,
                 RestartedRow, RestartedMachine, MissedKick, MissedMachineKick>;

struct FaultKey {
  std::string name;  // "by", "amount", "cause", "retained"
  std::string help;
  std::span<const std::string_view> words;  // one of these; empty: a quantity
};
struct FaultKind {
  std::string name;
  std::string help;
  std::vector<FaultKey> keys;
  bool once = false;        // happens at `from` and has no `until`
  bool of_machine = false;  // of no row
};
const std::vector<FaultKind>& fault_kinds();

/// The plant of a row at an instant, all faults of the scenario applied.
PlantSeam plant_at(const Scenario& scenario, int row, double time_s);
/// An edge on its way, with its instant and its draws.
EdgeSeam bend_edge(const Scenario& scenario, int row, EdgeSeam edge);
/// What the bus carries at an instant.
BusSeam bus_at(const Scenario& scenario, double time_s);
/// A frame on its way from or to a row, with its draws.
FrameSeam bend_frame(const Scenario& scenario, int row, double time_s, FrameSeam frame);
bool kick_hidden(const Scenario& scenario, int row, double time_s);  // row kMachine: the machine's

inline constexpr int kMachine = -1;
/// A controller's restarts in order of time; row kMachine: the machine's controller.
struct Restart {
  double at_s = 0.0;
  double off_s = 0.0;
  int cause = 0;     // of kResetCauses
  int retained = 0;  // of kRetained
};
std::vector<Restart> restarts_of(const Scenario& scenario, int row);

}  // namespace sim::scenario
