// When a trace's valve was driven, and how its samples stand in time.
//
//   Command column: on above 60 %, off below 40 % of the way between its levels. Without that
//   column the voltage decides, against its largest value. An edge lies between two samples; the
//   middle between them is taken. With voltage only, a pause between two driven stretches shorter
//   than a chopper's (0.5 ms) is no edge.
//
// Errors   InputError: no pulse; the message gives the levels that were seen
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include <cstddef>
#include <vector>

#include "sim/study/valve/trace/valve_trace.h"

namespace sim::valve {

struct TraceClock {
  double step_s = 0.0;      // median over the trace
  double gap_from_s = 0.0;  // a longer step is a gap
  int gaps = 0;
  double longest_gap_s = 0.0;
};
TraceClock clock_of(const ValveTrace& trace);

/// One command by indices: its first driven sample and the first sample that is no longer driven.
struct TraceCommand {
  std::size_t on = 0;
  std::size_t off = 0;
};
std::vector<TraceCommand> commands_of(const ValveTrace& trace);

/// Stretch of samples in which nothing happens: [from, to).
struct Stretch {
  std::size_t from = 0;
  std::size_t to = 0;
  std::size_t size() const { return to > from ? to - from : 0; }
};
/// The rest before each command: all before the first, else the last third of the pause. May be
/// empty.
std::vector<Stretch> rest_before(const ValveTrace& trace,
                                 const std::vector<TraceCommand>& commands);

}  // namespace sim::valve
