// The command line as it was typed, and as it goes on after an interruption.
//
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <string>

#include "sim/command/suite_options.h"

namespace sim::command {

/// One line that a shell reads as the same words.
std::string as_typed(int argc, char** argv);
/// Draws the number of --fresh-keys now and states it in `again`: whoever goes on with a killed
/// check goes on with the same keys.
void draw_fresh_keys(KeyOptions& keys, std::string& again);

}  // namespace sim::command
