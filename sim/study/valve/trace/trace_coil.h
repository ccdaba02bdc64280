// Resistance and inductance of the coil, fitted jointly over all pulses, from stretches in which
// the plunger stands still.
//
//   int u dt = R int i dt + L i + a constant of the stretch: least squares over all samples of all
//   stretches, each at most 1 ms long. Centring each stretch removes its constant; the noise of the
//   current is subtracted from the sum of its squares (otherwise it would flatten the slope and
//   reduce L).
//
// Errors   none; told is false where the stretches do not determine both
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc, tests/published/valve_trace_test.cc
#pragma once

#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// Centred sums of one or many still stretches.
struct CoilSums {
  double qq = 0.0, qi = 0.0, ii = 0.0;  // tidy: unit products of A s and A
  double qu = 0.0, iu = 0.0, uu = 0.0;  // tidy: unit products with V s
  double samples_ratio = 0.0;           // a count of samples
  double stretches_ratio = 0.0;         // a count of stretches

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

/// Stretches in which any valve stands still: the end of a command and the first part of the
/// decay.
CoilSums surely_still(const PulseWindow& window);
/// First sample after the command at which the current has fallen to least_a.
std::size_t held_until(const PulseWindow& window, double least_a);

}  // namespace sim::valve
