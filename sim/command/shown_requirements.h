// What the terminal shows of a pass's requirements, and the exit code that follows from them.
//
// Errors   none
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <functional>
#include <string>

#include "sim/command/exit_code.h"
#include "sim/measure/summary.h"
#include "sim/output/shown_units.h"

namespace sim::command {

/// `see`: the command that shows the seed where a requirement is worst; empty: there is none.
void print_requirements(const measure::Summary& summary, output::Units units,
                        const std::function<std::string(const measure::Witness&)>& see);
ExitCode code_of_pass(const measure::Summary& summary);

}  // namespace sim::command
