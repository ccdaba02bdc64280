// What a scenario asks of its row: the speed at which it is judged, the pressure that a flow needs,
// and the train of pulses by which the row is tuned and its lines are judged.
//
// Errors   none        Checked  tests/sim/study/tune/tune_test.cc
#pragma once

#include "sim/bench/pulse_train.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Row speed for which a scenario is judged: its constant speed, or the fastest of its profile.
double judged_speed_mps(const scenario::Scenario& scenario);

/// Smallest supply pressure whose steady flow is at least `flow`; the supply's full pressure if
/// there is none.
double pressure_for_flow_pa(const scenario::Scenario& scenario, double flow_m3ps);

/// The scenario's pulses at a row speed and a pressure; how many and how long stays to be stated.
PulseTrain train_at(const scenario::Scenario& scenario, double speed_mps, double pressure_pa);
/// The wanted on time, but at least 1 ms, and at most 0.9 of the train's period: where bands would
/// run into each other, they stay apart.
double on_time_within_s(double wanted_s, const PulseTrain& train);

}  // namespace sim::bench
