// Every fault that a scenario may name: a plain list, seen whole. `list faults` prints it.
//
//   A fault is on for a row while from <= t < until. Faults of one kind add up: delays sum, shares
//   multiply. `by` is a time, `amount` a share from 0 to 1; a scenario states exactly those that
//   the fault has.
//
// Checked  tests/sim/loader_test.cc
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "sim/scenario/faults/late_edges.h"
#include "sim/scenario/faults/lost_edges.h"
#include "sim/scenario/faults/lost_speed.h"
#include "sim/scenario/faults/low_voltage.h"
#include "sim/scenario/faults/plugged_outlet.h"
#include "sim/scenario/faults/plugged_valve.h"
#include "sim/scenario/faults/pressure_sag.h"
#include "sim/scenario/scenario.h"

namespace sim {

using Fault = std::variant<LateEdges, LostEdges, PluggedOutlet, LowVoltage, PressureSag, LostSpeed,
                           PluggedValve>;

struct FaultKind {
  std::string name;
  std::string help;
  std::vector<std::string> keys;  // "by", "amount"
  std::vector<std::string> key_helps;
};
const std::vector<FaultKind>& fault_kinds();

/// The plant of a row at an instant, all faults of the scenario applied.
PlantSeam plant_at(const Scenario& scenario, int row, double time_s);
/// An edge on its way; uniform_ratio is a draw of its own for this edge, so that no other stream
/// moves.
EdgeSeam bend_edge(const Scenario& scenario, int row, double edge_s, double uniform_ratio);

}  // namespace sim
