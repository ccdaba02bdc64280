// `sweep --shard i/S` and `sweep --merge DIR...`: one study on several machines that share nothing
// but files. A shard runs its cells and keeps them; the merge reads the cells of all shards and
// writes what one sweep would have written.
//
// Errors   InputError, OutputError, Interrupted; the merge gives 7 if a cell has two results
// Checked  tests/sim/command/shard_command_test.cc
#pragma once

#include <atomic>

#include "sim/command/sweep_options.h"
#include "sim/study/sweep/study.h"

namespace sim::command {

/// Refuses options that contradict each other.
void require_one_part(const SweepOptions& options);
/// Gives the exit code of the shard's own cells; 5 if it has none.
int execute_shard(const sweep::Study& study, const SweepOptions& options,
                  const std::atomic<bool>& stop);
/// For --dry-run, below the size of the whole study.
void print_size_of_shard(const sweep::Study& study, const SweepOptions& options);
int execute_merge(const sweep::Study& study, const SweepOptions& options,
                  const std::atomic<bool>& stop);

}  // namespace sim::command
