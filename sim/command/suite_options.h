// What `check` and `accept` ask for besides what all commands do.
//
// Checked  tests/sim/command/check_command_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/command/common_options.h"

namespace sim::command {

/// What both have; the input is the suite's file.
struct SuiteOptions : CommonOptions, ControllerOptions {
  std::filesystem::path out;       // empty: out/NAME
  std::filesystem::path baseline;  // empty: the suite's own
};
void add_suite_options(CommandWords& words, SuiteOptions& options);

/// Where the random keys of all scenarios come from.
struct KeyOptions {
  bool fresh = false;  // as parsed; drawn at once into `from`
  std::string from;    // the number that all keys come from; empty: they are the suite's own
};

}  // namespace sim::command
