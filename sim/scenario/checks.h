// What no single key shows: parts that contradict each other. Each message names the key that a
// person would change.
//
// Errors   InputError at the place where the key was stated, else at the scenario file
// Checked  tests/hostile/input_test.cc
#pragma once

#include "sim/scenario/scenario.h"
#include "sim/text/reader.h"

namespace sim::scenario {

/// `file` stands for keys that were not stated.
void check_scenario(const Scenario& scenario, const text::Places& places, const text::Place& file);

}  // namespace sim::scenario
