// Options that several commands share, each said once: name, meaning, what it takes.
//
// Checked  tests/sim/command_test.cc
#pragma once

#include "sim/command/options.h"

namespace CLI {
class App;
}

namespace sim {

/// The input, --json, --threads and --quiet; `input` and `input_help` name what the command takes.
void common_options(CLI::App& command, CommandOptions& options, const char* input,
                    const char* input_help);
void units_option(CLI::App& command, CommandOptions& options);
/// --set, --out and --units.
void scenario_options(CLI::App& command, CommandOptions& options);
/// --controller, --trust and --apart.
void controller_option(CLI::App& command, CommandOptions& options);
void dry_run_option(CLI::App& command, CommandOptions& options);
/// --scenario: the machine around an attachment.
void machine_option(CLI::App& command, CommandOptions& options);
void wave_option(CLI::App& command, CommandOptions& options);
void order_option(CLI::App& command, CommandOptions& options);

}  // namespace sim
