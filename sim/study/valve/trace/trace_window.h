// One pulse cut out of a trace, with the integrals that make up its flux linkage.
//
//   y = integral of u dt - R integral of i dt - L i, from before the command on
//   u   the voltage column. Without that column: the supply while driven; after the command zero
//       (slow decay), or the supply reversed until the current is gone (fast decay) and unknown
//       from then on
//
// Frame    time counts from the middle of the interval in which the command came on
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include <vector>

#include "sim/study/valve/trace/trace_commands.h"
#include "sim/study/valve/trace/trace_noise.h"
#include "sim/study/valve/trace/trace_pulses.h"

namespace sim::valve {

struct PulseWindow {
  std::vector<double> t_s;
  std::vector<double> i_a;                   // without offset and drift
  std::vector<double> v_v;                   // voltage
  std::vector<double> u_vs;                  // integral of the voltage
  std::vector<double> q_as;                  // integral of the current
  std::size_t first = 0;                     // sample of the trace at window index 0
  std::size_t on = 0;                        // first sample driven
  std::size_t off = 0;                       // first sample no longer driven
  std::size_t on_clean = 0, off_clean = 0;   // the same, where the voltage has surely stepped
  std::size_t known = 0;                     // end of the samples whose voltage is known
  double on_trace_s = 0.0;                   // trace time at the frame's zero
  double off_s = 0.0;                        // middle of the interval in which the command ended
  double on_half_s = 0.0, off_half_s = 0.0;  // half of these intervals
  double driven_v = 0.0;                     // mean voltage while driven
  double released_v = 0.0;                   // voltage just after the command
  double hold_a = 0.0;                       // current at the end of the command
  /// When the voltage steps because the current is gone; not-a-number: no such step.
  double gone_s = std::numeric_limits<double>::quiet_NaN();
  bool gap = false;
  bool closing_known = false;  // the voltage is known until the end of the window
};

PulseWindow window_of(const ValveTrace& trace, const std::vector<TraceCommand>& commands,
                      std::size_t pulse, const TraceClock& clock, const ProbeFigures& probe,
                      const TraceReading& reading);

std::vector<double> linkage_vs(const PulseWindow& window, double resistance_ohm,
                               double inductance_h);

}  // namespace sim::valve
