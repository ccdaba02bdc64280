// Where tuned tables and strip trims are kept for the next command: in the folder out/kept by
// commands that lay their results below `out`. A command whose --out lies elsewhere keeps them in
// memory while it runs and leaves no folder behind. `check`, `accept`, `compare` and `explain` keep
// nothing: they are there to compute it again. Which commands keep, each says by `keeps` of its
// row (sim/command/commands.h).
//
// Errors   none (sim/output/kept_folder.h)
// Checked  tests/sim/command/kept_findings_test.cc
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "sim/output/kept_folder.h"
#include "sim/study/tune/keeper.h"

namespace sim::command {

/// Where a command with this --out keeps its findings: a folder; empty: in memory; none: it keeps
/// nothing, because nothing runs.
std::optional<std::filesystem::path> kept_folder_of(const std::filesystem::path& out,
                                                    bool dry_run = false);

/// The keeper of this process while one command runs.
class KeptFindings {
 public:
  /// In a folder of kept_folder_of(), computed by what this process has loaded; none: nothing.
  explicit KeptFindings(const std::optional<std::filesystem::path>& folder);
  /// In this folder, computed by this program.
  KeptFindings(const std::filesystem::path& folder, const std::string& program);

 private:
  std::shared_ptr<output::KeptFolder> folder_;
  std::unique_ptr<tune::KeeperInUse> in_use_;
};

}  // namespace sim::command
