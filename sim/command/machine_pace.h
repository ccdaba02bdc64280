// How long work takes on this machine, in seconds of processor time.
//
//   a pass     row-seconds of strip test and pass, times what a row-second takes
//   a tuning   pulse trains on the nominal row, whatever the length of the pass
//   both by physics: a row with valve and column takes about thirty times as long as an ideal one
//
// The usual pace weighs the parts of long work against each other for progress and first guesses;
// --dry-run measures: the tuning and a short pass of a scenario of the very work, of each physics
// that it has, in about a second.
//
// Errors   none; no result sees any of this
// Checked  tests/sim/command/machine_pace_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::command {

/// Processor time of one physics.
struct PhysicsPace {
  double tuning_s = 0.0;
  double row_second_s = 0.0;  // a simulated second of one row
};

struct Pace {
  PhysicsPace full;
  PhysicsPace ideal;
  const PhysicsPace& of(const scenario::Scenario& scenario) const {
    return scenario.row.physics == scenario::RowPhysics::kFull ? full : ideal;
  }
};

/// Of the machine that the project is built on; bench/ and --dry-run print what another one has.
Pace usual_pace();
/// The same for the physics that `scenarios` hold, each measured on the middle one of its kind.
Pace measured_pace(std::span<const scenario::Scenario> scenarios);

/// Simulated row-seconds of one pass, the strip test before it included.
double row_time_s(const scenario::Scenario& scenario);
/// Processor time of one pass with its strip test and their tunings.
double pass_s(const scenario::Scenario& scenario, const Pace& pace);
/// The same without the tuning of the pass, for work that tunes once for many passes.
double tuned_pass_s(const scenario::Scenario& scenario, const Pace& pace);

/// Worker threads that can run at once.
int cores_in_use();
/// When the last of pieces that each take one core ends, started in this order.
double last_end_s(std::span<const double> pieces_s, int cores);
/// "3.2 s", "95 s", "12 min", "5.1 h", "79 days"
std::string duration_words(double time_s);
/// "about 120 s of processor time, 60 s on 2 cores, as measured just now"
std::string time_words(double processor_s, double wall_s);

}  // namespace sim::command
