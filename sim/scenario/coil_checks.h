// What is wrong with a coil's keys taken together, for scenarios and rig setups alike.
//
// Errors   none thrown: the caller knows where the key was stated
// Checked  tests/sim/scenario/coil_checks_test.cc
#pragma once

#include <string>

#include "model/row_params.h"

namespace sim::scenario {

struct CoilTrouble {
  std::string key;  // below `valve.`; empty: nothing is wrong
  std::string message;
};

/// `pressure_pa`: at which the valve has to open; `supply_v`: that of the driver.
CoilTrouble coil_trouble(const model::Valve& valve, double pressure_pa, double supply_v);

}  // namespace sim::scenario
