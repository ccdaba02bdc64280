// `sweep` as several ranks (sim/command/ranks.h): each runs a shard into one folder that all of
// them see, and rank 0 merges and writes the one result.
//
//   Rank 0 alone prints, and all ranks have its exit code. If another rank fails, that one says
//   why; the others end with exit code 3, and the cells that are finished stay for --resume, with
//   or without ranks.
//
// Errors   as those of a sweep; BenchError if another rank has failed or died
// Checked  tests/sim/command/ranks_slow_test.cc
#pragma once

#include <atomic>

#include "sim/command/sweep_options.h"

namespace sim::command {

int execute_in_ranks(const SweepOptions& options, const std::atomic<bool>& stop);

}  // namespace sim::command
