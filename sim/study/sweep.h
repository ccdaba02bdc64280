// `sweep`: a scenario over a grid of keys, each cell several replicas with their own rng keys, all
// cores used.
//
// Checked  tests/sim/sweep_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/run.h"

namespace sim {

struct SweepAxis {
  std::string key;                  // dotted key of the scenario, such as "travel.speed"
  std::vector<std::string> values;  // as written, with units
};

struct SweepCell {
  std::vector<std::string> values;  // one for each axis
  Scenario scenario;
  TunedTable tuned;
  Summary summary;                            // over all replicas, rows as clusters
  bool servable = true;                       // false: `not servable`, with tuned.smallest_offset_m
  double break_even_scatter_m = kNone_ratio;  // not-a-number: not looked for in this cell
};

struct SweepResult {
  std::string name;
  std::string title;
  std::vector<SweepAxis> axes;
  int replicas = 1;
  std::vector<SweepCell> cells;  // last axis fastest
  RunResult shown;               // the run whose rows, furrow and pulse the report draws
  RunHashes hashes;
};

struct SweepOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

/// Every cell's scenario, last axis fastest.   Errors   InputError from a cell's scenario
std::vector<Scenario> cell_scenarios(const Study& study);
/// Errors   InputError from a cell's scenario; Interrupted; BenchError
SweepResult run_sweep(const Study& study, const SweepOptions& options = {});

}  // namespace sim
