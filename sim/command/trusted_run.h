// A command whose controller runs in this process because it is trusted: it still must not turn its
// own end into a green one.
//
//   The command runs in a child process; this one waits for it. A child that ends without having
//   said that its results are complete was ended by the controller: exit 4, whatever its own code.
//
// Why      exit(0) in a controller would else be exit code 0 without a result
// Errors   none thrown; where no process can be had the command runs here
// Checked  tests/sim/command/trusted_run_test.cc
#pragma once

#include <functional>

namespace sim::command {

/// Runs `command` once and gives its exit code.
int run_trusted(const std::function<int()>& command);

}  // namespace sim::command
