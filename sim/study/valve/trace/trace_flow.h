// What the liquid's columns show of a pulse: when half of the steady flow came and went, and the
// dose.
//
//   half flow   half way from the level before the command to the median over its last third: first
//               passage after the command of a mean over five samples, interpolated linearly
//   dose        what the pulse adds to the leak until its flow has ended (0.2 s after the valve
//               shut, or the next command): the integral of the flow less the leak, or the step of
//               the collected mass between the steady drips before and after, over the density.
//               What drips afterwards belongs to the leak, however long the rest is
//   leak        mean flow, or one common slope of the mass, over the ends of the rests (before,
//               between and after the pulses; trace_commands.h): the second halves of those ends
//               that last 0.4 s or more where there are any, else all that begin 60 ms or more
//               after a command's end
//
// Errors   none; not-a-number where no column shows the figure
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc,
//          tests/sim/study/valve/dose_books_test.cc
#pragma once

#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// The samples of one pulse: the command off before it, its own on and off, and the next on (or
/// the end of the trace).
struct PulseSpan {
  std::size_t shut_before = 0;
  std::size_t on = 0, off = 0;
  std::size_t next_on = 0;
};

/// Needs the pulse's commands, and its landing on the seat where the trace shows that.
void take_flow(const ValveTrace& trace, const PulseWindow& window, const PulseSpan& span,
               const TraceReading& reading, const Found& leak, TracePulse& pulse);
/// Means over the whole trace: the pressure, and the leak while shut.
void take_liquid_means(const ValveTrace& trace, const std::vector<TraceCommand>& commands,
                       const std::vector<Stretch>& rests, const TraceReading& reading,
                       TraceFindings& findings);

}  // namespace sim::valve
