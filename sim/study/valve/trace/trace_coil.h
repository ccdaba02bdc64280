// Resistance and inductance of the coil, jointly over all pulses, out of stretches in which the
// plunger stands still.
//
//   int u dt = R int i dt + L i + a constant of the stretch: least squares over all samples of all
//   stretches, each at most 1 ms; the constants are taken out by centring each stretch, and the
//   noise of the current out of the sum of its squares (or it would flatten the slope, and L too)
//
// Errors   none; told is false where the stretches do not tell both
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc, tests/published/valve_trace_test.cc
#pragma once

#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// Centred sums of one or many still stretches.
struct CoilSums {
  double qq = 0.0, qi = 0.0, ii = 0.0;  // tidy: unit products of A s and A
  double qu = 0.0, iu = 0.0, uu = 0.0;  // tidy: unit products with V s
  double samples_ratio = 0.0;           // a count
  double stretches_ratio = 0.0;         // a count

  void take(const PulseWindow& window, std::size_t from, std::size_t to);
  void take(const CoilSums& other);

 private:
  void take_piece(const PulseWindow& window, std::size_t from, std::size_t to);
};

struct CoilFigures {
  bool told = false;
  double resistance_ohm = 0.0, resistance_sd_ohm = 0.0;
  double inductance_h = 0.0, inductance_sd_h = 0.0;
  double misfit_ratio = 0.0;
};
CoilFigures coil_of(const CoilSums& sums, double noise_a);

/// Stretches that stand still in any valve: the end of a command and the first of the decay.
CoilSums surely_still(const PulseWindow& window);
/// First sample after the command at which the current has fallen to least_a.
std::size_t held_until(const PulseWindow& window, double least_a);

}  // namespace sim::valve
