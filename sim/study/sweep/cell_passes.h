// The passes of cells, in groups that go through their slots together (sim/bench/pass_company.h),
// so that machines of few rows fill the lanes.
//
//   passes in a group   rows that step side by side / rows of the machine, but no more than leaves
//                       a group for each thread, of the passes that nobody has begun
//
// A pass gives the same in every group; keep_pass gets each by its own index.
// Memory   the passes of the cells under way; of those that run, one group per thread
// Errors   those of a cell stand in it: of several passes that fail the first by index
// Checked  tests/sim/study/sweep/cell_passes_test.cc, tests/sim/study/sweep/sweep_ledger_test.cc
#pragma once

#include <atomic>
#include <exception>
#include <span>
#include <vector>

#include "sim/bench/pass_company.h"
#include "sim/measure/catalog.h"
#include "sim/study/sweep/shown_pass.h"
#include "sim/study/sweep/sweep_cells.h"
#include "sim/study/sweep/sweep_progress.h"

namespace sim::sweep {

/// A cell that has its table and gets its passes.
struct CellUnderWay {
  const CellPlan* plan = nullptr;
  const sillion_attachment_table* table = nullptr;
  std::vector<FinishedPass> passes;  // by index; their rows are kept until the cell is summarized
  std::exception_ptr failed;         // with the number of the pass that failed first
};

/// The value of the watched metric in a summary.
Observation observation_of(std::string_view metric, measure::ReadMetric read,
                           const measure::Summary& summary);

class CellPasses {
 public:
  /// All of these outlive it.
  CellPasses(const Study& study, const SweepOptions& options, const Shard& shard,
             const SweepStop& stop, SweepProgress& progress, ShownPass& shown);

  /// Adds `study.replicas` passes to each of the cells.
  void add(std::span<CellUnderWay* const> cells);
  /// So many passes will run besides those that every study has at least, or (negative) fewer.
  void expect(std::ptrdiff_t more) { unbegun_ += more; }
  /// How many passes of this machine make a group now.
  std::size_t group_size(const scenario::Scenario& scenario) const;

 private:
  struct Place {
    CellUnderWay* cell = nullptr;
    std::size_t index = 0;
    bool ended = false;
    std::exception_ptr failed = nullptr;
    double told_ratio = 0.0;
  };

  void run_group(std::span<Place> group);
  bool find(Place& place);
  bench::PassJob job_of(Place& place);
  void finish(Place& place, const bench::PassJob& job, bench::PassRecord record);
  void tell(Place& place, double done_ratio);

  const Study& study_;
  const SweepOptions& options_;
  const SweepStop& stop_;
  measure::ReadMetric read_metric_;
  SweepProgress& progress_;
  ShownPass& shown_;
  std::atomic<std::ptrdiff_t> unbegun_;  // passes
};

}  // namespace sim::sweep
