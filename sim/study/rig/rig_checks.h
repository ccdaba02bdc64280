// What a rig setup must satisfy beyond the range of each key: its parts are there, its ends do not
// contradict each other, its step resolves the lines, and its record ends and fits into memory.
//
// Errors   InputError with the place and what to change
// Checked  tests/sim/study/rig/rig_setup_test.cc
#pragma once

#include "sim/study/rig/rig_setup.h"
#include "sim/text/reader.h"

namespace sim::rig {

void check_rig(const RigSetup& setup, const text::Places& places, const text::Place& file);

}  // namespace sim::rig
