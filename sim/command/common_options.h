// Options that several commands have, in groups: a command's own options are a struct that takes in
// the groups it needs.
//
// Errors   none
// Checked  tests/sim/command/command_test.cc, tests/sim/command/help_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/command/command_words.h"
#include "sim/output/shown_units.h"

namespace sim::command {

/// What every command has.
struct CommonOptions {
  std::string input;  // scenario, study or kind
  bool json = false;
  bool quiet = false;
  int threads = 0;    // 0: all cores
  int lanes = 0;      // 0: as many as suit
  std::string typed;  // the command line
  std::string again;  // the same, so that it goes on after an interruption

  bool hides_progress() const { return quiet || json; }
};
/// `input` is the name under which --help shows the input.
void add_common_options(CommandWords& words, CommonOptions& options, const std::string& input,
                        const std::string& input_help, Need need = Need::kRequired);

struct ScenarioOptions {
  std::vector<std::string> sets;  // KEY=VALUE
  std::filesystem::path out;      // empty: out/NAME
  output::Units units = output::Units::kMetric;
};
void add_scenario_options(CommandWords& words, ScenarioOptions& options);

struct ControllerOptions {
  std::string controller;  // a shared library; empty: the reference, or as the scenario states it
  bool trust = false;      // it runs in this process
  bool apart = false;      // the reference runs in a process of its own too
};
void add_controller_options(CommandWords& words, ControllerOptions& options);
/// KEY=VALUE of --set, and over them the controller of the command line.
std::vector<std::string> sets_with_controller(const ScenarioOptions& scenario,
                                              const ControllerOptions& controller);

/// What the commands that judge an attachment have.
struct AttachmentOptions : CommonOptions, ScenarioOptions {
  std::filesystem::path scenario;  // the machine around the attachment
};
void add_attachment_options(CommandWords& words, AttachmentOptions& options);

void add_units_option(CommandWords& words, output::Units& units);
void add_dry_run_option(CommandWords& words, bool& dry_run);

}  // namespace sim::command
