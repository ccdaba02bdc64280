// What a technician would load into the controllers before the pass: the scenario in the integers
// of the interface.
//
// Checked  tests/sim/row_config_test.cc
#pragma once

#include "shared/controller_abi.h"
#include "sim/scenario/scenario.h"

namespace sim {

sillion_config row_config(const Scenario& scenario, int row, const sillion_attachment_table& table,
                          std::int32_t trim_um);
sillion_config machine_config(const Scenario& scenario, const sillion_attachment_table& table);

/// Digital inputs of a controller that runs, with its row enabled, lowered or not.
constexpr std::uint32_t work_inputs(bool lowered) {
  constexpr std::uint32_t kAlways =
      std::uint32_t{SILLION_INPUT_ROW_ENABLED} | std::uint32_t{SILLION_INPUT_RUN};
  return kAlways | (lowered ? std::uint32_t{SILLION_INPUT_LOWERED} : 0u);
}

}  // namespace sim
