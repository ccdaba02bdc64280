// What `run --outlet` takes from `outlet`.
//
// Errors   as sim/study/outlet/outlet_study.h and sim/command/outlet_options.h
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <atomic>

#include "sim/command/outlet_options.h"

namespace sim::command {

/// The sealed outlet study of a scenario's attachment, with progress unless `quiet`; `ledger` null:
/// nothing is found or kept.
outlet::OutletResult outlet_of(const scenario::Scenario& scenario, const OutletWords& words,
                               bool quiet, const std::atomic<bool>& stop,
                               output::Ledger* ledger = nullptr);

}  // namespace sim::command
