// The kills of tests/sim/command/sweep_command_test.cc at more instants of a longer sweep.
#include <gtest/gtest.h>

#include "tests/support/killed_sweep.h"

namespace {

TEST(SweepKill, AtAnyInstantItGoesOnToTheSameBytes) {
  support::kill_and_resume_sweep("[\"40 s\", \"70 s\"]", 20);
}

}  // namespace
