// Instants at which the equations of lines_equations.h change: seat, stop, lift-off, current back
// at zero, and the bridge's switches. Every integrator of these equations stops at them.
//
// Errors   none
// Checked  tests/model/row/method_of_lines_test.cc
#pragma once

#include <span>
#include <vector>

#include "tests/support/lines_equations.h"
#include "tests/support/method_of_lines.h"

namespace support {

/// Positive while the present equations hold; a change of sign is an event.
double margin(const RowEquations& row, const State& y, const model::Plunger& plunger);

/// Changes state and equations for the located event. Order at one instant: coil, then contact.
void apply_event(RowEquations& row, State& y, const model::Plunger& plunger, double rest_speed_mps,
                 double now_s, std::vector<LinesEvent>& events);

struct Switch {
  double at_s;
  Bridge to;
};

/// In order of time; the last one is the end.
std::vector<Switch> switches_of(std::span<const OnOff> pulses, double end_s, bool slow_decay);

}  // namespace support
