// The histories of a rig run, and the columns under which they are written and measured.
//
// Units    SI; the name of a column ends in its unit. People's units: shown_unit_of
// Checked  tests/sim/study/rig/measured_test.cc, tests/sim/study/rig/rig_test.cc
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/text/quantity.h"

namespace sim::rig {

struct RigSeries {
  std::vector<double> time_s;
  std::vector<double> inlet_pressure_pa;   // where the tube starts: valve exit or ideal inlet
  std::vector<double> inlet_flow_m3ps;     // into the tube
  std::vector<double> middle_pressure_pa;  // empty unless a bare tube without cavities has a middle
  std::vector<double> outlet_pressure_pa;
  std::vector<double> outlet_flow_m3ps;
  std::vector<double> lift_m;
  std::vector<double> current_a;
  std::vector<double> valve_cavity_m3;
  std::vector<double> outlet_void_m3;
};

/// A history as a column: its name without the unit stands in front of another unit, as in
/// `current [mA]`.
struct RigColumn {
  std::string_view name;
  std::string_view without_unit;
  text::Kind kind;
  std::vector<double> RigSeries::* values;  // tidy: unit is in the name
};

/// In the order of series.csv; the pressure midway is not in every run.
inline constexpr std::array kRigColumns = {
    RigColumn{"inlet_pressure_gauge_pa", "inlet_pressure_gauge", text::Kind::kPressure,
              &RigSeries::inlet_pressure_pa},
    RigColumn{"inlet_flow_m3ps", "inlet_flow", text::Kind::kFlow, &RigSeries::inlet_flow_m3ps},
    RigColumn{"outlet_pressure_gauge_pa", "outlet_pressure_gauge", text::Kind::kPressure,
              &RigSeries::outlet_pressure_pa},
    RigColumn{"outlet_flow_m3ps", "outlet_flow", text::Kind::kFlow, &RigSeries::outlet_flow_m3ps},
    RigColumn{"lift_m", "lift", text::Kind::kLength, &RigSeries::lift_m},
    RigColumn{"current_a", "current", text::Kind::kCurrent, &RigSeries::current_a},
    RigColumn{"valve_cavity_m3", "valve_cavity", text::Kind::kVolume, &RigSeries::valve_cavity_m3},
    RigColumn{"outlet_void_m3", "outlet_void", text::Kind::kVolume, &RigSeries::outlet_void_m3},
    RigColumn{"middle_pressure_gauge_pa", "middle_pressure_gauge", text::Kind::kPressure,
              &RigSeries::middle_pressure_pa}};

/// The unit in which people read a history.
output::ShownUnit shown_unit_of(text::Kind kind, output::Units units);

}  // namespace sim::rig
