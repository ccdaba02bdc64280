// Where a controller first differs from the reference, in one line.
//
//   "parts from the reference at row 3, call 1204, 1.204000 s: out.compares[0].at_ticks 12345
//   instead of 12300"; for a frame its number and byte; for a fault the call that fails
//
// Errors   none
// Checked  tests/sim/study/check/parting_test.cc
#pragma once

#include <string>

#include "sim/study/check/parting.h"

namespace sim::check {

/// `parting` must compare the reference (old) with the controller under test (new).
std::string parting_line(const Parting& parting);

}  // namespace sim::check
