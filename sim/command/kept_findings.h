// Which commands keep tuned tables and strip trims for the next one, and where: those that lay
// their results below `out`, in the folder out/kept. A command whose --out lies elsewhere keeps
// them in memory while it runs and leaves no folder behind. `check`, `accept`, `compare` and
// `explain` keep nothing: they are there to compute it again.
//
// Errors   none (sim/output/kept_folder.h)
// Checked  tests/sim/command/kept_findings_test.cc
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "sim/command/options.h"
#include "sim/output/kept_folder.h"
#include "sim/study/tune/keeper.h"

namespace sim::command {

/// Where a command with these options keeps its findings: a folder; empty: in memory; none: it
/// keeps nothing.
std::optional<std::filesystem::path> kept_folder_of(const CommandOptions& options);

/// The keeper of this process while one command runs.
class KeptFindings {
 public:
  explicit KeptFindings(const CommandOptions& options);
  /// In this folder, computed by this program.
  KeptFindings(const std::filesystem::path& folder, const std::string& program);

 private:
  std::shared_ptr<output::KeptFolder> folder_;
  std::unique_ptr<tune::KeeperInUse> in_use_;
};

}  // namespace sim::command
