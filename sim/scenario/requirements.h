// The lists of tables in a scenario: requirements and faults, each checked against its catalog.
//
// Errors   InputError: unknown metric or fault with the nearest name, a bound of the wrong kind, a
//          value that is missing
// Checked  tests/sim/loader_test.cc, tests/hostile/input_test.cc
#pragma once

#include <vector>

#include "sim/scenario/document.h"
#include "sim/scenario/scenario.h"

namespace sim {

std::vector<Requirement> read_requirements(const Node& list);
std::vector<FaultEntry> read_faults(const Node& list, int rows);

}  // namespace sim
