// The command line: parses it, runs the command, turns every error into words and an exit code.
//
// Checked  tests/sim/command/command_test.cc
#pragma once

namespace sim::command {

int run_command_line(int argc, char** argv);

}  // namespace sim::command
