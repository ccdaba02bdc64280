// `sweep --keep INDEX`: single passes of a sweep with all their seeds. A sweep itself keeps figures
// alone; a pass that is asked for runs once more, with its own key, and is the pass of the sweep.
//
//   INDEX   CELL or CELL/PASS, both counted from 0, cells as the lines of cells.csv; without PASS
//           the first pass; `worst`: the first pass of the cell with the lowest share
//   writes  runs/CELL/PASS/ in the sweep's folder, with the files of `run`
//
// Errors   InputError: no INDEX, or one beyond the study. A cell that was not served is warned of
// Checked  tests/sim/command/sweep_command_test.cc
#pragma once

#include <atomic>
#include <filesystem>

#include "sim/command/sweep_options.h"
#include "sim/study/sweep/sweep.h"

namespace sim::command {

/// Refuses what cannot be kept before anything has run.
void require_keepable(const SweepOptions& options, const sweep::Study& study);
void write_kept_passes(const SweepOptions& options, const sweep::Study& study,
                       const sweep::SweepResult& result, const std::filesystem::path& out,
                       const std::atomic<bool>& stop);

}  // namespace sim::command
