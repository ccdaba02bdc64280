// The options of `sweep`, as its files share them.
//
// Checked  tests/sim/command/sweep_command_test.cc, tests/sim/command/shard_command_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/command/common_options.h"

namespace sim::command {

struct SweepOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  bool resume = false;  // keep what a killed sweep has finished
  bool dry_run = false;
  std::string shard;                // "2/5"; empty: the whole study
  std::vector<std::string> shards;  // folders to merge
  std::vector<std::string> kept;    // indices of passes to write whole (sweep_keep.h)
};

}  // namespace sim::command
