// What a rig setup must satisfy beyond the range of each key: parts that are there, ends that do
// not contradict each other, a step that resolves the line, a
// record that ends and can be held.
//
// Errors   InputError with the place and what to change
// Checked  tests/sim/study/rig/rig_setup_test.cc
#pragma once

#include "sim/study/rig/rig_setup.h"
#include "sim/text/reader.h"

namespace sim::rig {

void check_rig(const RigSetup& setup, const text::Places& places, const text::Place& file);

}  // namespace sim::rig
