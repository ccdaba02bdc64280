// When a trace's valve was driven, and how its samples stand in time.
//
//   command column: on above 60 %, off below 40 % of the way between its levels; without it, the
//   voltage against its largest value. An edge lies between two samples; its middle is taken.
//   Gaps between driven stretches shorter than a chopper's pause are no edges (voltage only).
//
// Errors   InputError: no pulse, with the levels that were seen
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include <cstddef>
#include <vector>

#include "sim/study/valve/trace/valve_trace.h"

namespace sim::valve {

struct TraceClock {
  double step_s = 0.0;      // median
  double gap_from_s = 0.0;  // a longer step is a gap
  int gaps = 0;
  double longest_gap_s = 0.0;
};
TraceClock clock_of(const ValveTrace& trace);

/// One command by indices: first driven sample, first sample no longer driven.
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
/// Rest before every command: the last third of its pause. May be empty.
std::vector<Stretch> rest_before(const ValveTrace& trace,
                                 const std::vector<TraceCommand>& commands);

}  // namespace sim::valve
