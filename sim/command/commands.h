// The commands of the program: each file NAME_command.cc gives one, with its options, its help and
// what it does.
//
// Errors   none thrown by reading a line: what is wrong is printed, with the nearest name, and
//          comes back as exit code 2
// Checked  tests/sim/command/command_test.cc, tests/sim/command/help_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "sim/command/command_words.h"
#include "sim/command/common_options.h"
#include "sim/command/exit_code.h"

namespace sim::command {

/// A command with room for its options, which its functions share; the pointers lead to them.
struct Command {
  std::string name;
  std::string description;
  std::function<void(CommandWords& words)> define;              // states its options
  std::function<int(const std::atomic<bool>& stop)> execute;    // gives the exit code
  CommonOptions* common = nullptr;                              // never null in a whole command
  const ControllerOptions* controller = nullptr;                // null: it has none of these
  std::function<std::optional<std::filesystem::path>()> keeps;  // kept_findings.h; empty: nothing
  std::function<void()> complete;                               // `again`; empty: it is whole
  bool many_passes = false;                                     // its passes keep the threads busy
};

Command run_command();
Command budget_command();
Command check_command();
Command faults_command();
Command search_command();
Command accept_command();
Command compare_command();
Command rate_command();
Command sweep_command();
Command rig_command();
Command delay_command();
Command today_command();
Command outlet_command();
Command valve_command();
Command explain_command();
Command score_command();
Command stimulus_command();
Command page_command();
Command map_command();
Command unit_command();
Command list_command();

/// In the order in which --help lists them, each with the defaults of its options.
std::vector<Command> all_commands();

/// What a command line asks for: a command with its options, or to end with this exit code (help,
/// mistakes).
struct AskedFor {
  std::optional<Command> command;
  ExitCode code = kHeld;
};
AskedFor read_command_line(int argc, char** argv);

}  // namespace sim::command
