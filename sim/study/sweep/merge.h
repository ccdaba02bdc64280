// The result of a sweep from cells that other processes have finished.
//
//   Every cell is read, none runs; what is computed over all cells (the stop of samples, precision,
//   maps, hashes) and the pass that the report draws are computed here, as one sweep does it. The
//   result is therefore the same to the byte.
//
// Errors   InputError with what is wrong with the folders of the shards
// Checked  tests/sim/study/sweep/merge_test.cc, tests/sim/command/shard_command_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "sim/output/ledger.h"
#include "sim/study/sweep/shard.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

/// The folders of shards, read together.
struct ShardFolders {
  std::size_t count = 1;                                       // S of i/S
  std::map<std::size_t, std::filesystem::path> by_shard;       // those that there are
  std::vector<std::unique_ptr<output::LedgerReader>> ledgers;  // of those folders
  std::map<std::string, output::LedgerReader*> cells;          // whole cells by their inputs
  std::vector<std::string> differing;  // cells with two different results, in words

  /// Numbers of the shards that no folder holds.
  std::vector<std::size_t> missing() const;
};
/// Errors   InputError if a folder is none of a shard, or its shard is one of another study,
///          controller, program or number of shards, or two folders hold the same shard;
///          OutputError of a ledger that cannot be read, as of a shard that is still at work
ShardFolders read_shard_folders(const std::vector<std::filesystem::path>& folders,
                                const StudyHashes& hashes);
/// Whether both records are whole and hold the same result.
bool same_cell(const std::string& inputs, const std::string& text, const std::string& other);

/// A cell that no ledger holds whole.
struct MissingCell {
  std::vector<std::string> values;
  std::size_t shard = 1;  // its number
};

struct CellSource {
  std::size_t shards = 1;
  std::function<std::optional<FinishedCell>(const CellPlan& plan)> read;  // from any thread
  /// Is given the missing cells, if there are any, in the order of the results; has to throw. Of
  /// samples that may go on, those of the first incomplete batch of a combination.
  std::function<void(const std::vector<MissingCell>& missing)> refuse;
};
SweepResult merge_cells(const Study& study, const CellSource& source,
                        const std::atomic<bool>* stop = nullptr);

}  // namespace sim::sweep
