// `sweep`: a scenario over keys, on a grid or over samples, each cell several passes with their own
// rng keys, all cores used; with `stop`, batches are added until a mean is known well enough.
//
// A cell whose controller fails, or whose model leaves physics, is kept as a failed cell with the
// fault's words; the others go on. A finished cell is small enough to be kept in a file of its own
// (sim/study/sweep/cell_file.h), from which a killed sweep goes on to the same bytes.
//
// What stops is decided for each cell of a grid over its passes, for samples over all those of one
// combination of the listed axes; it looks at finished batches only, never at time or threads
// (sim/study/sweep/stop_rule.h).
// Checked  tests/sim/study/sweep/sweep_test.cc, tests/sim/study/sweep/sampled_sweep_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/run/run.h"
#include "sim/study/sweep/stop_rule.h"
#include "sim/study/sweep/study.h"

namespace sim::sweep {

struct SweepAxis {
  std::string key;                  // dotted key of the scenario, such as "travel.speed"
  std::vector<std::string> values;  // as written, with units; of a drawn axis those of all samples
  std::string drawn = {};           // "uniform 4 km/h to 12 km/h"; empty: listed
};

/// What ended a cell before its last pass.
enum class CellFault : std::uint8_t { kNone, kController, kBench };

struct SweepCell {
  std::vector<std::string> values;  // one for each axis
  scenario::Scenario scenario;
  tune::TunedTable tuned;
  measure::Summary summary;  // over all replicas, rows as clusters
  bool servable = true;      // false: `not servable`, with tuned.smallest_offset_m
  double break_even_scatter_m =
      statistics::kNone_ratio;  // not-a-number: not looked for in this cell
  CellFault fault = CellFault::kNone;
  std::string fault_words;  // "pass 1: row 3: ..."

  bool failed() const { return fault != CellFault::kNone; }
  /// Its passes ran to their end: `summary` holds figures.
  bool served() const { return servable && !failed(); }
};

/// All that is left of a cell once it has run, but for its values and its scenario.
struct FinishedCell {
  SweepCell cell;
  std::vector<Observation> seen;  // of the passes of a grid's cell, by index
};

/// How well the mean of the watched metric is known in one cell of a grid, or over the samples of
/// one combination.
struct SweepPrecision {
  std::vector<std::string> held;  // values of the listed axes, empty where drawn
  std::size_t first_cell = 0;
  std::size_t cells = 1;
  int observations = 0;  // passes, samples, or nets of samples
  int not_served = 0;    // samples without a pass: left out
  int failed = 0;        // samples that a fault ended: left out
  MeanInterval interval;
  StopState state = StopState::kNotEnough;
  int needed = 0;  // observations that would do; 0: cannot be told
};

/// What the study watches, and how.
struct SweepStop {
  std::string metric;
  std::string unit;
  std::string observed = "pass";  // "pass", "sample" or "net"
  int per_observation = 1;        // samples of a net
  StopPlan plan;
};

struct SweepResult {
  std::string name;
  std::string title;
  std::vector<SweepAxis> axes;
  int replicas = 1;              // with stop.plan.most of a grid: of a batch
  std::vector<SweepCell> cells;  // last listed axis fastest; samples in their order within it
  std::size_t shown_cell = 0;    // whose first pass `shown` is
  run::RunResult shown;          // the run whose rows, furrow and pulse the report draws
  output::RunHashes hashes;
  scenario::Sampling sampling = scenario::Sampling::kGrid;
  SweepStop stop;
  std::vector<SweepPrecision> precision;  // of every cell of a grid, or group of samples
  std::vector<std::string> shown_values;  // of the cell that the study shows; empty: the first
};

struct CellPlan;  // sim/study/sweep/sweep_cells.h

struct SweepOptions {
  const std::atomic<bool>* stop = nullptr;
  /// found_ratio: the part of what is done that `find` gave.
  std::function<void(double done_ratio, double found_ratio)> on_progress;
  std::vector<double> group_work_s;  // how much work each group is, for progress; empty: the same
  /// A cell that an earlier sweep has finished, if there is one; called from any thread.
  std::function<std::optional<FinishedCell>(const CellPlan& plan)> find;
  /// Called as cells end, from any thread.
  std::function<void(const CellPlan& plan, const FinishedCell& done)> keep;
};

/// Errors   InputError from a cell's scenario; Interrupted; whatever `keep` throws
SweepResult run_sweep(const Study& study, const SweepOptions& options = {});

}  // namespace sim::sweep
