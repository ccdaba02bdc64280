// What the columns of liquid say of a pulse: when half of the steady flow came and went, the dose.
//
//   half flow   of the median over the last third of the command; the first passage after the
//               command, straight between samples, of a mean over five
//   dose        flow over time from command to command, or the mass that came over its density
//
// Errors   none; not-a-number where no column tells
// Checked  tests/sim/trace_pulses_test.cc
#pragma once

#include "sim/measure/trace_window.h"

namespace sim {

void take_flow(const ValveTrace& trace, const PulseWindow& window, std::size_t next_on,
               const TraceReading& reading, TracePulse& pulse);
/// Means over the whole trace: pressure, and what leaks in the stretches at rest, by flow or, in
/// the second halves of rests of 0.4 s and more, by weight.
void take_liquid_means(const ValveTrace& trace, const std::vector<Stretch>& rests,
                       const TraceReading& reading, TraceFindings& findings);

}  // namespace sim
