// The words of the command line: every command with its options, helps and examples.
//
// Errors   none thrown: what is wrong is told, with the nearest name, and comes back as exit code 2
// Checked  tests/sim/command/command_test.cc
#pragma once

#include "sim/command/options.h"

namespace sim::command {

inline constexpr int kGoOn = -1;

/// Fills the options; the exit code where there is nothing to do but end (help, mistakes).
int parse_command_line(int argc, char** argv, CommandOptions& options);

}  // namespace sim::command
