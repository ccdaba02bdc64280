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

/// What drives the coil; 0: not known, or none.
struct CoilDrive {
  double supply_v = 12.0;
  double limit_a = 0.0;
  double on_time_s = 0.0;
  double step_s = 10e-6;
};

/// `pressure_pa`: at which the valve has to open.
CoilTrouble coil_trouble(const model::Valve& valve, double pressure_pa, const CoilDrive& drive);

}  // namespace sim::scenario
