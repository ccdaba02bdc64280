// The command line as it was typed, and as it goes on after an interruption.
//
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <string>

#include "sim/command/options.h"

namespace sim::command {

/// One line that a shell reads as the same words.
std::string as_typed(int argc, char** argv);
/// After the options were read: the command that goes on with this one (`again`), with the keys
/// that are drawn now; and the controller among the `sets`.
void complete_words(CommandOptions& options);

}  // namespace sim::command
