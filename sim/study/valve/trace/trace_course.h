// The course of one pulse out of its flux linkage: what moved when, and how far.
//
//   coarse steps come from the smoothed linkage (half of its height, largest loss of slope), then
//   start and landing are fitted around them (trace_events.h); closing is the same turned over
//
// Frame    seconds after the middle of the interval in which the command came on
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include "sim/study/valve/trace/trace_coil.h"
#include "sim/study/valve/trace/trace_events.h"
#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// What the pulses of a trace have in common.
struct ValveFigures {
  double resistance_ohm = 0.0;
  double inductance_h = 0.0;
  double inductance_sd_h = 0.0;
  double noise_vs = 0.0;    // of a sample of linkage
  double linkage_vs = 0.0;  // height at the stop; 0: not known yet
  double step_s = 0.0;
  MotionPrior drive;
  bool quick = false;  // starts by one fit alone
};

struct PulseCourse {
  bool moved = false;      // left the seat
  bool stopped = false;    // was at the stop before the command ended
  bool released = false;   // came down again
  double height_vs = 0.0;  // largest linkage over that at rest
  double still_vs = 0.0;   // linkage with the plunger on its seat
  MotionFit up;
  KinkFit stop;
  double stop_bounce_s = 0.0, stop_bounce_ratio = 0.0;  // its length and its height over the travel
  MotionFit down;
  KinkFit seat;
  double seat_bounce_s = 0.0, seat_bounce_ratio = 0.0;
  double on_shift_s = 0.0, on_sd_s = 0.0;  // of the command's edge, as the current tells it
  double off_shift_s = 0.0, off_sd_s = 0.0;
  CoilSums still;  // stretches in which the plunger stood
};

PulseCourse course_of(const PulseWindow& window, const ValveFigures& valve);

}  // namespace sim::valve
