// `sweep`: a scenario over several keys, on a grid or over samples; each cell has several passes
// with their own rng keys, on all cores. With `stop`, batches are added until a mean is known well
// enough.
//
// A cell whose controller fails, or whose model leaves its physical range, is recorded as a failed
// cell with the fault's words; the other cells continue. Finished cells, and the finished passes of
// cells under way, are kept (sim/study/sweep/sweep_ledger.h), and a killed sweep continues from
// them to the same bytes.
//
// The stop rule is applied to the passes of each cell of a grid, and for samples to all samples of
// one combination of the listed axes; it looks at finished batches only, never at time or threads
// (sim/study/sweep/stop_rule.h).
// Checked  tests/sim/study/sweep/sweep_test.cc, tests/sim/study/sweep/sampled_sweep_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/statistics/intervals.h"
#include "sim/study/run/run.h"
#include "sim/study/sweep/shard.h"
#include "sim/study/sweep/stop_rule.h"
#include "sim/study/sweep/study.h"

namespace sim::sweep {

struct SweepAxis {
  std::string key;                  // dotted key of the scenario, such as "travel.speed"
  std::vector<std::string> values;  // as written, with units; of a drawn axis those of all samples
  std::string drawn = {};           // "uniform 4 km/h to 12 km/h"; empty: listed
};

/// What ended a cell before its last pass was complete.
enum class CellFault : std::uint8_t { kNone, kController, kBench };

struct SweepCell {
  std::vector<std::string> values;  // one for each axis
  scenario::Scenario scenario;
  tune::TunedTable tuned;
  measure::Summary summary;  // over all replicas, rows as clusters; without the rows themselves
  std::vector<statistics::Interval> intervals;  // over those rows, as cell_intervals() gives them
  bool servable = true;  // false: `not servable`, with tuned.smallest_offset_m
  double break_even_scatter_m =
      statistics::kNone_ratio;  // not-a-number: not computed for this cell
  CellFault fault = CellFault::kNone;
  std::string fault_words;  // "pass 1: row 3: ..."

  bool failed() const { return fault != CellFault::kNone; }
  /// All passes of the cell ran to their end: `summary` holds figures.
  bool served() const { return servable && !failed(); }
};

/// The 95 % intervals of the figures of cells.csv, in their order, over the rows of a summary.
std::vector<statistics::Interval> cell_intervals(const measure::Summary& summary);

/// Everything that is kept of a cell that has run, except its values and its scenario.
struct FinishedCell {
  SweepCell cell;
  std::vector<Observation> seen;  // one per pass of a cell of a grid, by index
};

/// One pass of a cell, before its bands are matched.
struct FinishedPass {
  std::vector<measure::RowRecord> rows;
  double simulated_s = 0.0;
  Observation seen;  // of a cell of a grid
};

/// How well the mean of the watched metric is known in one cell of a grid, or over the samples of
/// one combination.
struct SweepPrecision {
  std::vector<std::string> held;  // values of the listed axes; empty for drawn axes
  std::size_t first_cell = 0;
  std::size_t cells = 1;
  int observations = 0;  // passes, samples, or nets of samples
  int not_served = 0;    // samples that are not servable, so that no pass ran: left out
  int failed = 0;        // samples that a fault ended: left out
  MeanInterval interval;
  StopState state = StopState::kNotEnough;
  int needed = 0;  // observations that would be enough; 0: not known
};

/// What the study watches, and how.
struct SweepStop {
  std::string metric;
  std::string unit;
  std::string observed = "pass";  // "pass", "sample" or "net"
  int per_observation = 1;        // number of samples in a net
  StopPlan plan;
};

struct SweepResult {
  std::string name;
  std::string title;
  std::vector<SweepAxis> axes;
  int replicas = 1;              // per cell; of a grid with stop.plan.most: per batch
  std::vector<SweepCell> cells;  // last listed axis fastest; samples in order within a combination
  std::size_t shown_cell = 0;    // the cell whose first pass is `shown`
  run::RunResult shown;          // the run of which the report draws rows, furrow and pulse
  output::RunHashes hashes;
  scenario::Sampling sampling = scenario::Sampling::kGrid;
  SweepStop stop;
  std::vector<SweepPrecision> precision;  // for each cell of a grid, or group of samples
  std::vector<std::string> shown_values;  // of the cell that the study shows; empty: the first
};

struct SweepOptions {
  const std::atomic<bool>* stop = nullptr;
  /// found_ratio: the part of the finished work that `find` returned.
  std::function<void(double done_ratio, double found_ratio)> on_progress;
  std::vector<double> group_work_s;  // work of each group, for progress; empty: equal
  /// Returns a cell that an earlier sweep has finished, if there is one; called from any thread.
  std::function<std::optional<FinishedCell>(const CellPlan& plan)> find;
  /// Called when a cell has ended, from any thread.
  std::function<void(const CellPlan& plan, const FinishedCell& done)> keep;
  /// The same for the pass with this index of a cell that has not ended.
  std::function<std::optional<FinishedPass>(const CellPlan& plan, std::size_t index)> find_pass;
  std::function<void(const CellPlan& plan, std::size_t index, const FinishedPass& done)> keep_pass;
  /// Called once when all cells have ended, before the pass that the report draws; may throw.
  std::function<void()> on_cells;
};

/// Errors   InputError from a cell's scenario; Interrupted; whatever `keep` and `keep_pass` throw
SweepResult run_sweep(const Study& study, const SweepOptions& options = {});

/// Runs the cells of one shard alone and returns them in the order of the results.
std::vector<SweepCell> run_shard(const Study& study, const Shard& shard,
                                 const SweepOptions& options);

}  // namespace sim::sweep
