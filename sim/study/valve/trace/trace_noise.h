// Noise, quantum, offset and drift of a trace's current, from the stretches at rest.
//
//   noise   rms of first differences over the square root of two, without differences beyond 5
//           times that rms; at least the scatter of the quantum itself, quantum / sqrt(12)
//   offset, drift   straight line through the samples of the rests
//
// Errors   InputError: the current stands at its largest value for longer than a hold explains
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include <vector>

#include "sim/study/valve/trace/trace_commands.h"

namespace sim::valve {

struct ProbeFigures {
  double noise_a = 0.0;
  double quantum_a = 0.0;
  double offset_a = 0.0;  // at the trace's first sample
  double drift_aps = 0.0;
  bool rested = false;  // there were rests that give offset and drift
};
ProbeFigures probe_of(const ValveTrace& trace, const std::vector<Stretch>& rests);
void refuse_saturated(const ValveTrace& trace, const ProbeFigures& probe,
                      const std::vector<Stretch>& rests, double probe_range_a);

}  // namespace sim::valve
