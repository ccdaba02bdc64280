// Contradictions between keys, which no single key shows. Each message names the key that a person
// would change.
//
// Errors   InputError at the place where the key was stated, otherwise at the scenario file
// Checked  tests/hostile/input_test.cc
#pragma once

#include "sim/scenario/scenario.h"
#include "sim/text/reader.h"

namespace sim::scenario {

/// `file` is the place that messages name for keys that were not stated.
void check_scenario(const Scenario& scenario, const text::Places& places, const text::Place& file);

}  // namespace sim::scenario
