// The nearest cause of each red scenario that the bench can tell: run again beside the reference,
// where the controller under test first does something else.
//
//   Only with a controller of its own to blame, and for the first five red scenarios in the
//   suite's order: a broken build is red everywhere, for one reason. Those beyond say so.
//
// Errors   Interrupted
// Checked  tests/sim/command/red_causes_test.cc
#pragma once

#include <atomic>

#include "sim/study/check/suite_result.h"

namespace sim::command {

/// Fills `cause` of the red results of a judged suite.
void add_red_causes(check::SuiteResult& suite, const std::atomic<bool>& stop);

}  // namespace sim::command
