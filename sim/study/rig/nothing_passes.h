// Why no pulse comes out of a rig, and what would mend it: the liquid column above the supply, the
// force on the shut plunger above the solenoid's, or an on time that ends too soon.
//
// Errors   none
// Checked  tests/sim/study/rig/nothing_passes_test.cc
#pragma once

#include <string>

#include "sim/output/shown_units.h"
#include "sim/study/rig/rig.h"

namespace sim::rig {

/// "The outlet lies 60 m above the supply, ..."; empty where half of the steady flow is passed, or
/// where no valve is driven.
std::string nothing_passes_words(const RigResult& result, output::Units units);

}  // namespace sim::rig
