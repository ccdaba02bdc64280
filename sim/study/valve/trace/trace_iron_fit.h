// The magnetic circuit of a reluctance solenoid, fitted to stretches of a trace in which
// the plunger stands still on its seat or at its stop.
//
//   minimise sum ((i - i_model(psi, x))/noise)^2 + priors,  psi = integral of (u - R i) dt + edges
//   unknowns   logarithms of R, inductance, gap, leakage, saturation, half current and eddy
//              resistance (those that the setup states), and per pulse two shifts of linkage for
//              the command's edges and one that grows with time, for the noise of its voltage
//   priors     what the setup states counts as known to 25 % (95 %), R and inductance to a factor
//              of 2; an edge lies anywhere between two samples
//   At most kMostIronPulses pulses, spread over the trace; neighbouring samples are averaged.
//
// Errors   none; told is false where no stretch is there or the squares have no solution
// Checked  tests/sim/study/valve/trace/trace_iron_test.cc
#pragma once

#include <vector>

#include "sim/study/valve/trace/trace_course.h"

namespace sim::valve {

inline constexpr std::size_t kMostIronPulses = 8;

/// What a fit needs of one pulse.
struct IronPulse {
  PulseWindow window;
  std::vector<StillSpan> spans;
};

struct IronFit {
  bool told = false;
  model::Coil coil;
  double resistance_sd_ohm = 0.0, inductance_sd_h = 0.0;
  double misfit_ratio = 0.0;  // rms of what the circuit leaves over, over noise
};

/// Stretches in which a plunger that opened, or one that did not, surely stands still: while the
/// current is small, the end of the command and the first part of the decay.
std::vector<StillSpan> surely_still_spans(const PulseWindow& window, bool opened);
/// `setup` is where the priors stand, its resistance that of the steady current.
IronFit fit_iron(const std::vector<IronPulse>& pulses, const model::Coil& setup, double travel_m,
                 double noise_a);

}  // namespace sim::valve
