// What is wrong with a pulse compared with the others of its trace, and what a trace cannot show.
//
//   missing    did not leave its seat
//   late       opened more than late_after_s after the median pulse
//   bouncing   rebounded from stop or seat by more than 10 % of its travel
//   sticking   landed on its seat more than late_after_s after the median, or stayed up
//   clipped    left its seat, but did not reach its stop before its command ended
//
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include "sim/study/valve/trace/trace_course.h"

namespace sim::valve {

void mark_faults(const std::vector<PulseCourse>& courses, const std::vector<PulseWindow>& heads,
                 const TraceReading& reading, std::vector<TracePulse>& pulses);
void say_what_is_open(const ValveTrace& trace, const TraceReading& reading,
                      const std::vector<PulseCourse>& courses, bool rested,
                      TraceFindings& findings);

}  // namespace sim::valve
