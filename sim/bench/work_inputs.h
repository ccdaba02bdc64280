// The digital inputs of the controllers at an instant: the work that a scenario lays down.
//
//   lowered       toggles at work.lift_times
//   run           toggles at work.run_times; without it the machine is in hold
//   row enabled   all rows but those that work.row_off switches off just then
//
// Errors   none
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include <cstdint>

#include "sim/measure/row_signals.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Bits SILLION_INPUT_*. The machine's own controller has no row to switch off.
std::uint32_t row_inputs(const scenario::Scenario& scenario, int row, double time_s);
std::uint32_t machine_inputs(const scenario::Scenario& scenario, double time_s);
/// The same as signals of a row that requirements may name.
void note_inputs(const scenario::Scenario& scenario, int row, measure::RowSignals& signals);

}  // namespace sim::bench
