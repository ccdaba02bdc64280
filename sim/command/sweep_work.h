// How `sweep` runs cells and keeps them: what a whole sweep, a shard and a rank have in common.
//
// Checked  tests/sim/command/sweep_command_test.cc, tests/sim/command/shard_command_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "sim/command/sweep_options.h"
#include "sim/output/ledger.h"
#include "sim/study/sweep/sweep.h"

namespace sim::command {

inline constexpr std::string_view kSweepFiles[] = {"summary.json", "cells.csv", "report.html"};

/// out/NAME unless --out states a folder.
std::filesystem::path out_of(const SweepOptions& options, const std::string& name);
/// Clears the results of an earlier sweep, so that a killed one leaves no older results behind.
void clear_results(const std::filesystem::path& out);
/// Refuses a combination of values that cannot run before anything has run.
void judge_first(const sweep::Study& study, const SweepOptions& options,
                 const std::atomic<bool>& stop);
/// Where the cells and passes of a sweep are found and kept; `earlier` may be null.
struct SweepLedgers {
  output::Ledger* own = nullptr;
  output::LedgerReader* earlier = nullptr;
};
/// Runs what no earlier sweep has finished, and keeps each pass and cell as it ends.
sweep::SweepResult run_whole(const sweep::Study& study, const SweepLedgers& ledgers,
                             const SweepOptions& options, const std::atomic<bool>& stop);
/// The same for the cells of one shard; `what` names the work in the progress line.
std::vector<sweep::SweepCell> run_part(const sweep::Study& study, const sweep::Shard& shard,
                                       const SweepLedgers& ledgers, const SweepOptions& options,
                                       const std::string& what, const std::atomic<bool>& stop);

}  // namespace sim::command
