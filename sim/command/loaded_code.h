// What code this process computes with, as text: the hash of the program's sources, and the build
// identity of the program and of every shared library that it has loaded. The sources alone would
// not tell two compilers apart, nor a library that was exchanged under the program.
//
// Errors   none: a file without a build identity stands with its name alone
// Checked  tests/sim/command/kept_findings_test.cc
#pragma once

#include <string>

namespace sim::command {

/// To be asked before a foreign controller is loaded: what it is does not belong here.
std::string loaded_code();

}  // namespace sim::command
