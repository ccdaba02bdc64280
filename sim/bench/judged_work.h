// What a scenario asks of its row: the speed at which it is judged, and the pressure that a flow
// needs.
//
// Errors   none        Checked  tests/sim/study/tune/tune_test.cc
#pragma once

#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Row speed for which a scenario is judged: its constant speed, or the fastest of its profile.
double judged_speed_mps(const scenario::Scenario& scenario);

/// Smallest supply pressure whose steady flow is at least `flow`; the supply's full pressure if
/// there is none.
double pressure_for_flow_pa(const scenario::Scenario& scenario, double flow_m3ps);

}  // namespace sim::bench
