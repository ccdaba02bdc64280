// What a co-simulation unit carries with it: the row, its scenario in canonical form, and, where
// its controller is in it, the delay table and trim of that controller.
//
//   What reaches the row through the unit's inputs is cleared from the scenario: the drive's
//   profile, spacings, work, rate zones, faults, requirements. The form of the lines and the step
//   are those that were judged when the unit was written, so nothing is judged while it runs.
//
// Errors   InputError: ideal rows, a foreign controller, what the canonical form does not carry
//          (linkage tables); a text that is no contents of a unit
// Checked  tests/sim/study/unit/unit_contents_test.cc
#pragma once

#include <string>

#include "shared/controller_abi.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/scenario.h"
#include "sim/study/unit/unit_values.h"

namespace sim::unit {

struct UnitContents {
  scenario::Scenario scenario;
  int row = 0;
  bool drawn = false;  // with this row's own scatter; else the nominal row
  bool with_controller = false;
  std::int32_t trim_um = 0;
  sillion_attachment_table table{};  // all 0 without a controller
};

/// The scenario as a unit carries it.
scenario::Scenario carried(const scenario::Scenario& scenario);
/// Refuses contents that a unit cannot carry exactly.
void require_carried(const UnitContents& contents);

std::string contents_text(const UnitContents& contents);
UnitContents read_contents(const std::string& text);

bench::RowFixed fixed_of(const UnitContents& contents);
/// The values of inputs and parameters before anybody sets them.
UnitInputs start_inputs(const UnitContents& contents);

}  // namespace sim::unit
