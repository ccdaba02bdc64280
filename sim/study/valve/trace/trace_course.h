// The course of one pulse from its flux linkage: when the plunger moved, and how far.
//
//   The smoothed linkage gives coarse steps (half of its height, largest loss of slope); start and
//   landing are then fitted around them (trace_events.h). Closing is treated as opening turned
//   over.
//
// Frame    seconds after the middle of the interval in which the command came on
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include "sim/study/valve/trace/trace_coil.h"
#include "sim/study/valve/trace/trace_events.h"
#include "sim/study/valve/trace/trace_iron.h"
#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// Figures that all pulses of a trace share.
struct ValveFigures {
  double resistance_ohm = 0.0;
  double inductance_h = 0.0;
  double inductance_sd_h = 0.0;
  double noise_vs = 0.0;    // of one sample of linkage
  double linkage_vs = 0.0;  // height at the stop; 0: not known yet
  double step_s = 0.0;
  MotionPrior drive;
  bool quick = false;                 // one fit is enough for a start
  const IronFigures* iron = nullptr;  // of a reluctance solenoid; null: the linear law
};

/// Samples in which the plunger stands still on its seat or at its stop: [from, to).
struct StillSpan {
  std::size_t from = 0, to = 0;
  bool at_stop = false;
};

struct PulseCourse {
  bool moved = false;      // the plunger left its seat
  bool stopped = false;    // it was at the stop before the command ended
  bool released = false;   // it came down again
  double height_vs = 0.0;  // largest linkage over that at rest
  double still_vs = 0.0;   // linkage with the plunger on its seat
  MotionFit up;
  KinkFit stop;
  double stop_bounce_s = 0.0, stop_bounce_ratio = 0.0;  // how long; its height over the travel
  MotionFit down;
  KinkFit seat;
  double seat_bounce_s = 0.0, seat_bounce_ratio = 0.0;
  double on_shift_s = 0.0, on_sd_s = 0.0;  // of the command's edge, from the linkage's step
  double off_shift_s = 0.0, off_sd_s = 0.0;
  CoilSums still;                // stretches in which the plunger stood still
  std::vector<StillSpan> spans;  // the same
  double seen_until_s = std::numeric_limits<double>::infinity();  // the lift is known until then
};

PulseCourse course_of(const PulseWindow& window, const ValveFigures& valve);

}  // namespace sim::valve
