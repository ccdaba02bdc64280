// How sharp the ends of a row's pulses are, and how much the pulses disturb each other over their
// rate.
//
//   rise      outlet flow from 10 to 90 % of its steady value; fall: 90 to 10 % after the off
//             command; tail: from half to below 5 %; secondary share as in
//             scenarios/manual/measures.md
//   alone     one pulse of the scenario's band; each rate is compared with one pulse of its own on
//             time
//   at a rate an even train at f, on for min(B/v_f, 0.5/f), v_f = min(f * spacing, v): up to the
//             scenario's rate f sets the speed, above it the seeds lie closer. The pressure is that
//             of the scenario's speed throughout
//   change    largest |lead or lag less that of the single pulse| over the train's pulses after the
//             first; along the row times v_f; for the dose, over the single pulse's dose
//
// Out      `follows` is false at a rate that the row cannot follow (a pulse without a jet, or
//          outlet flow that does not fall below 5 % between two pulses)
// Errors   BenchError when the model leaves physics
// Checked  tests/sim/study/outlet/outlet_pulses_test.cc
#pragma once

#include <limits>
#include <span>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::outlet {

struct PulseShape {
  double rise_s = std::numeric_limits<double>::quiet_NaN();  // not-a-number: not reached
  double fall_s = std::numeric_limits<double>::quiet_NaN();
  double tail_s = std::numeric_limits<double>::quiet_NaN();
  double secondary_ratio = 0.0;
};

struct RateFigures {
  double rate_hz = 0.0;
  double speed_mps = 0.0;
  double on_time_s = 0.0;
  double lead_change_s = 0.0;  // largest, without sign
  double lag_change_s = 0.0;
  double dose_change_ratio = 0.0;
  PulseShape worst;  // over the train: the longest time and the largest share
  bool follows = true;
  double change_m() const;
};

struct PulseFigures {
  PulseShape alone;
  PulseShape worst;               // over the single pulse and all trains
  double largest_void_m3 = 0.0;   // cavity at the valve and void at the outlet, one pulse
  double void_at_rest_m3 = 0.0;   // what is left of it when the column rests
  double void_of_train_m3 = 0.0;  // the same after a train at the scenario's speed
  std::vector<RateFigures> rates;

  bool follows() const;
  double interference_m() const;  // over all rates; infinite where one is not followed
  double dose_change_ratio() const;
  double worst_rate_hz() const;
};

PulseFigures pulse_figures(const scenario::Scenario& scenario, double pressure_pa,
                           std::span<const double> rates_hz);

}  // namespace sim::outlet
