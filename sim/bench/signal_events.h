// On-off signals of a row that are no states of the plant: edges, faults, and what the row's
// controller reported, laid down once the pass is over.
//
// Errors   none
// Checked  tests/sim/measure/temporal_test.cc, tests/sim/bench/signal_events_test.cc
#pragma once

#include <vector>

#include "sim/bench/controller_port.h"
#include "sim/measure/row_signals.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Whether a requirement of the scenario is over signals in time.
bool states_signals(const scenario::Scenario& scenario);
void note_events(const scenario::Scenario& scenario, const SeedWay& way,
                 const std::vector<TimedEvent>& events, measure::RowSignals& signals);
/// Alarms of the machine's controller, which stand on every row alike.
void note_machine_events(const std::vector<TimedEvent>& events, measure::RowSignals& signals);

}  // namespace sim::bench
