// Whether the tube holds its liquid behind a shut valve, at the end of a pass and after a stop; in
// closed form, in addition to the void that the row's model leaves.
//
//   holds      the outlet's bore is below that of the first asymmetric wave of its meniscus, and
//              the column is so short that it does not boil at the valve (model/fluid/retention.h).
//              The valve is tight, so nothing leaves unless air enters
//   hang       how far the column hangs below the valve: the tube's fall where that is stated, its
//              whole length where its rise is 0 (the worst case), nothing where it climbs
//   void after = at rest (model) + drawn back by drying + the larger of cooling's contraction
//              b V dT and the gas out of solution (the liquid gets warmer or colder, not both)
//   gas        bubbles on the wall, each grown from nothing; together at most all gas in excess
//   refill     void/Q in time, times v along the row: by this the first pulse comes too late
//   A tube that does not hold its liquid has its whole volume to refill.
//
// Errors   EXPECTS flow and speed > 0
// Checked  tests/sim/study/outlet/outlet_fullness_test.cc
#pragma once

#include "sim/scenario/scenario.h"

namespace sim::outlet {

/// What no scenario states; every report prints these values.
struct StandingAssumptions {
  double pause_s = 20.0;  // without pulses, at the end of a pass: the time of a turn (own choice)
  double stop_s = 300.0;  // 5 minutes
  double humidity_ratio = 0.5;     // of the air at the outlet, at the liquid's temperature
  double temperature_k = 5.0;      // change of the liquid's temperature in the stop; the pause
                                   // has its share of it by time (own choice)
  double expansion = 2.07e-4;      // tidy: unit 1/K, water at 20 C (from memory); walls left out
  double solubility_ratio = 0.02;  // air in water at 20 C, Ostwald (from memory)
  double solubility_fall = 0.02;   // tidy: unit 1/K, of that (from memory)
  double gas_diffusivity_m2ps = 2e-9;  // air in water (from memory); thicker liquids: less
  double bubbles_pm2 = 1e6;            // places on the wall where a bubble starts (own choice)
};

inline constexpr double kFullAfterPass_m = 5e-3;   // along the row, own choice
inline constexpr double kFullAfterStop_m = 10e-3;  // the project's tolerance for a band's place

struct StandingVoid {
  double time_s = 0.0;
  double dried_m3 = 0.0;
  double contracted_m3 = 0.0;
  double gas_m3 = 0.0;
  double bubble_radius_m = 0.0;  // of one bubble
  double void_m3 = 0.0;          // the whole void, that at rest included
  double refill_s = 0.0;
  double refill_m = 0.0;
};

struct Fullness {
  double hang_m = 0.0;
  double widest_bore_m = 0.0;       // widest outlet that holds
  double widest_void_tube_m = 0.0;  // bore of a tube that keeps a void at the outlet
  double jurin_m = 0.0;             // column that the meniscus would hold with the valve open
  double tallest_column_m = 0.0;
  bool holds = false;
  bool void_stays = false;   // false: the void rises to the valve and stays there as gas
  double free_gas_m3 = 0.0;  // stated by the scenario, volume at the atmosphere
  StandingVoid closed;       // after one pulse, with the column at rest
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
