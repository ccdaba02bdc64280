// What an ideal inlet does over time: the keys of [inlet] and the history that they make.
//
//   peak, rise, hold, fall, frequency, pulses   a train of trapezoids from t = 0
//   mean, amplitude, frequency                  a sine
//   times, values                               a table
//
// Errors   InputError: two forms at once, lists of unequal length, times that fall back
// Checked  tests/sim/study/rig/rig_setup_test.cc
#pragma once

#include "sim/study/rig/rig_setup.h"
#include "sim/text/reader.h"

namespace sim::rig {

void describe_inlet(RigSetup& setup, text::Fields& fields);
/// Makes the history from the keys that were stated.
void finish_inlet(RigSetup& setup, const text::Places& places, const text::Place& file);

}  // namespace sim::rig
