// What the columns of liquid say of a pulse: when half of the steady flow came and went, the dose.
//
//   half flow   of the median over the last third of the command; the first passage after the
//               command, straight between samples, of a mean over five
//   dose        what the pulse adds to the leak until its flow has ended (0.2 s after the valve
//               shut, or the next command): the flow less the leak over time, or the step of the
//               collected mass between the straight drips before and after, over its density.
//               What drips on belongs to the leak, however long the rest is
//   leak        mean flow, or one slope of the mass, over the ends of the rests (before, between
//               and after the pulses): the second halves of those of 0.4 s and more where there are
//               any, else what lies 60 ms and more after a command's end
//
// Errors   none; not-a-number where no column tells
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc,
// tests/sim/study/valve/dose_books_test.cc
#pragma once

#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// The samples of one pulse: when the valve was last told to shut, on, off, and the next on (or the
/// end of the trace).
struct PulseSpan {
  std::size_t shut_before = 0;
  std::size_t on = 0, off = 0;
  std::size_t next_on = 0;
};

/// Needs the pulse's commands, and its landing on the seat where the trace shows it.
void take_flow(const ValveTrace& trace, const PulseWindow& window, const PulseSpan& span,
               const TraceReading& reading, const Found& leak, TracePulse& pulse);
/// Means over the whole trace: pressure, and what leaks while shut.
void take_liquid_means(const ValveTrace& trace, const std::vector<TraceCommand>& commands,
                       const std::vector<Stretch>& rests, const TraceReading& reading,
                       TraceFindings& findings);

}  // namespace sim::valve
