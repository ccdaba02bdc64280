// Does the tube hold its liquid: behind a shut valve, at the end of a pass and after a stop, in
// closed form on top of what the row's model leaves as a void.
//
//   holds      outlet bore below the first lopsided wave of its meniscus, and the column short
//              enough that it does not boil at the valve (model/fluid/retention.h). The valve is
//              tight, so nothing leaves unless air comes in
//   hang       how far the column hangs below the valve: the tube's fall where it is stated, its
//              whole length where its rise is 0 (the worst it can be), nothing where it climbs
//   void after = at rest (model) + drawn back by drying + the larger of cooling's contraction
//              b V dT and of gas out of solution (it is warmer or it is colder, not both)
//   gas        bubbles on the wall, each grown from nothing, at most all that is in excess
//   refill     void/Q in time, times v along the row: what the first pulse comes too late by
//   A tube that does not hold has its whole volume to refill.
//
// Errors   EXPECTS flow and speed > 0
// Checked  tests/sim/study/outlet/outlet_fullness_test.cc
#pragma once

#include "sim/scenario/scenario.h"

namespace sim::outlet {

/// What no scenario states; every report prints it.
struct StandingAssumptions {
  double pause_s = 20.0;        // without pulses, at the end of a pass: a turn (own choice)
  double stop_s = 300.0;        // 5 minutes
  double humidity_ratio = 0.5;  // of the air at the outlet, at the liquid's temperature
  double temperature_k = 5.0;   // that the liquid warms or cools by in the stop, in the pause its
                                // share of it (own choice)
  double expansion = 2.07e-4;   // tidy: unit 1/K, water at 20 C (from memory); walls left out
  double solubility_ratio = 0.02;      // air in water at 20 C, Ostwald (from memory)
  double solubility_fall = 0.02;       // tidy: unit 1/K, of that (from memory)
  double gas_diffusivity_m2ps = 2e-9;  // air in water (from memory); thicker liquids: less
  double bubbles_pm2 = 1e6;            // places on the wall where one starts (own choice)
};

inline constexpr double kFullAfterPass_m = 5e-3;   // along the row, own choice
inline constexpr double kFullAfterStop_m = 10e-3;  // the project's tolerance for a band's place

struct StandingVoid {
  double time_s = 0.0;
  double dried_m3 = 0.0;
  double contracted_m3 = 0.0;
  double gas_m3 = 0.0;
  double bubble_radius_m = 0.0;  // of one
  double void_m3 = 0.0;          // all of it, with what was there at rest
  double refill_s = 0.0;
  double refill_m = 0.0;
};

struct Fullness {
  double hang_m = 0.0;
  double widest_bore_m = 0.0;       // that holds
  double widest_void_tube_m = 0.0;  // bore of a tube in which a void stays at the outlet
  double jurin_m = 0.0;             // column that the meniscus would hold even with the valve open
  double tallest_column_m = 0.0;
  bool holds = false;
  bool void_stays = false;   // else it rises to the valve and stays there as gas
  double free_gas_m3 = 0.0;  // at the atmosphere, that the scenario states
  StandingVoid closed;       // column at rest after one pulse
  StandingVoid pass;         // after a train and the pause
  StandingVoid stop;
  bool holds_liquid() const {
    return holds && pass.refill_m <= kFullAfterPass_m && stop.refill_m <= kFullAfterStop_m;
  }
};

struct VoidsAtRest {
  double after_pulse_m3 = 0.0;
  double after_train_m3 = 0.0;
};
struct Refill {
  double flow_m3ps = 0.0;
  double speed_mps = 0.0;
};

Fullness fullness(const scenario::Scenario& scenario, const VoidsAtRest& voids,
                  const Refill& refill, const StandingAssumptions& assumed);

}  // namespace sim::outlet
