// Whether a valve opens at all: at a supply voltage, under a pressure, on the nominal row.
//
//   opens    one long pulse (40 ms) into liquid at rest lifts the plunger by more than a tenth of
//            its travel
//   voltage  the lowest that opens it, by halving between 0 and 60 V to 0.1 V
//
// Errors   BenchError when the model leaves its physical range
// Checked  tests/sim/study/tune/valve_opens_test.cc
#pragma once

#include "sim/scenario/scenario.h"

namespace sim::tune {

/// An ideal row always opens.
bool valve_opens(const scenario::Scenario& scenario, double pressure_pa);
/// Not-a-number if even 60 V do not open it: the spring is too strong for the hold current.
double opening_voltage_v(const scenario::Scenario& scenario, double pressure_pa);

}  // namespace sim::tune
