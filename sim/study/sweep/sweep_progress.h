// How far a sweep has come: each group has the steps of its cells, a step for each table and pass.
//
// Errors   what SweepOptions::on_progress throws
// Checked  tests/sim/study/sweep/sweep_ledger_test.cc, tests/sim/command/sweep_command_test.cc
#pragma once

#include <mutex>
#include <vector>

#include "sim/study/sweep/shard.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

class SweepProgress {
 public:
  /// Study and options outlive it.
  SweepProgress(const Study& study, const SweepOptions& options, const Shard& shard);

  /// From any thread; a group never gets more steps than it has. `found`: an earlier sweep did
  /// them.
  void steps_done(std::size_t group, double steps, bool found = false);  // tidy: unit passes
  double steps_of_cell() const { return steps_of_cell_; }                // tidy: unit passes
  double steps_of_group() const { return steps_of_group_; }              // tidy: unit passes

 private:
  double share_of(std::size_t group) const;  // tidy: unit of all work

  const Study& study_;
  const SweepOptions& options_;
  double steps_of_cell_;         // tidy: unit passes, and one for the table
  double steps_of_group_ = 0.0;  // tidy: unit passes
  std::mutex mutex_;
  std::vector<double> done_of_group_;  // tidy: unit passes
  double done_ratio_ = 0.0, found_ratio_ = 0.0;
};

}  // namespace sim::sweep
