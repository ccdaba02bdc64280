// What a technician would load into the controllers before the pass: the scenario in the integers
// of the interface.
//
// Checked  tests/sim/bench/row_config_test.cc
#pragma once

#include "shared/controller_abi.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

sillion_config row_config(const scenario::Scenario& scenario, int row,
                          const sillion_attachment_table& table, std::int32_t trim_um);
sillion_config machine_config(const scenario::Scenario& scenario,
                              const sillion_attachment_table& table);

}  // namespace sim::bench
