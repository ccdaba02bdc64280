// The first pass of the cell that a sweep's report shows, kept while the sweep runs: so it need not
// run once more, alone, behind all others.
//
// Errors   none        Checked  tests/sim/study/sweep/shown_pass_test.cc
#pragma once

#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "sim/study/run/run.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::sweep {

class ShownPass {
 public:
  explicit ShownPass(const Study& study) : study_(study) {}

  /// Whether the report may show this cell.
  bool is_of(const CellPlan& plan) const {
    return study_.shown.empty() ? plan.group == 0 && plan.sample == 0 : plan.values == study_.shown;
  }
  void keep(const scenario::Scenario& scenario, const std::vector<int>& trim_um,
            const bench::PassRecord& record) {
    const std::lock_guard lock(mutex_);
    kept_ = Kept{scenario.rng_key, trim_um, record};
  }
  /// What `run` gives for this cell; where its pass was not kept, it runs now.
  run::RunResult result_of(const SweepCell& cell, const std::atomic<bool>* stop) {
    if (!kept_ || kept_->rng_key != cell.scenario.rng_key)
      return run::run_scenario(cell.scenario, {.stop = stop});
    run::RunResult result;
    result.scenario = cell.scenario;
    result.tuned = cell.tuned;
    result.trim_um = std::move(kept_->trim_um);
    result.record = std::move(kept_->record);
    run::sum_up(result);
    kept_.reset();
    return result;
  }

 private:
  struct Kept {
    std::uint64_t rng_key = 0;  // of the first pass: each sample has another
    std::vector<int> trim_um;
    bench::PassRecord record;
  };
  const Study& study_;
  std::mutex mutex_;
  std::optional<Kept> kept_;
};

}  // namespace sim::sweep
