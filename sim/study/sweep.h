// `sweep`: a scenario over keys, on a grid or over samples, each cell several passes with their own
// rng keys, all cores used; with `stop`, batches are added until a mean is known well enough.
//
// What stops is decided for each cell of a grid over its passes, for samples over all those of one
// combination of the listed axes; it looks at finished batches only, never at time or threads
// (sim/measure/stop_rule.h).
// Checked  tests/sim/sweep_test.cc, tests/sim/sampled_sweep_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/measure/stop_rule.h"
#include "sim/scenario/loader.h"
#include "sim/study/run.h"

namespace sim {

struct SweepAxis {
  std::string key;                  // dotted key of the scenario, such as "travel.speed"
  std::vector<std::string> values;  // as written, with units; of a drawn axis those of all samples
  std::string drawn = {};           // "uniform 4 km/h to 12 km/h"; empty: listed
};

struct SweepCell {
  std::vector<std::string> values;  // one for each axis
  Scenario scenario;
  TunedTable tuned;
  Summary summary;                            // over all replicas, rows as clusters
  bool servable = true;                       // false: `not servable`, with tuned.smallest_offset_m
  double break_even_scatter_m = kNone_ratio;  // not-a-number: not looked for in this cell
};

/// How well the mean of the watched metric is known in one cell of a grid, or over the samples of
/// one combination.
struct SweepPrecision {
  std::vector<std::string> held;  // values of the listed axes, empty where drawn
  std::size_t first_cell = 0;
  std::size_t cells = 1;
  int observations = 0;  // passes, samples, or nets of samples
  int not_served = 0;    // samples without a pass: left out
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
  RunResult shown;               // the run whose rows, furrow and pulse the report draws
  RunHashes hashes;
  Sampling sampling = Sampling::kGrid;
  SweepStop stop;
  std::vector<SweepPrecision> precision;  // of every cell of a grid, or group of samples
  std::vector<std::string> shown_values;  // of the cell that the study shows; empty: the first
};

struct SweepOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

/// Errors   InputError from a cell's scenario; Interrupted; BenchError
SweepResult run_sweep(const Study& study, const SweepOptions& options = {});

}  // namespace sim
