// What a scenario says of a controller's hardware beyond its own word: the storage part with its
// faults, and the period of its PWM against the world's clock.
//
// Errors   none
// Checked  tests/sim/bench/storage_pass_test.cc
#pragma once

#include <cstdint>

#include "sim/bench/controller_port.h"
#include "sim/bench/storage.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Whether a scenario states anything of the storage: then ports do not run ahead.
bool states_storage(const scenario::Scenario& scenario);
/// Row kMachine: the storage of the machine's controller, which begins blank and has no faults.
StorageSetup storage_setup(const scenario::Scenario& scenario, int row, std::uint32_t pass);
/// Marks the faults of a row's storage that have acted.
void mark_storage_faults(const scenario::Scenario& scenario, int row, const ControllerPort& port);
/// Of a row controller's bridge, in time of the world; 0: none.
shared::Duration pwm_period(ControllerHost& host, double clock_drift_ratio);

}  // namespace sim::bench
