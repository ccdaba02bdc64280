// `run`: one scenario is tuned, simulated in a pass and measured. The result holds everything that
// summary.json, seeds.csv and the report show.
//
// Checked  tests/sim/study/run/run_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/measure/summary.h"
#include "sim/output/hash.h"
#include "sim/study/tune/tune.h"

namespace sim::run {

struct RunResult {
  scenario::Scenario scenario;
  tune::TunedTable tuned;
  std::vector<int> trim_um;  // of each row, from the strip test; empty: no trims
  bench::PassRecord record;
  measure::Summary summary;
  output::RunHashes hashes;
};

struct RunOptions {
  bench::Watch watch{.row = 0, .seed = bench::kWatchTypical};
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  std::function<void(const bench::LiveSecond&)> on_second;  // of the pass itself
  bool wave = false;           // fill RunResult::record.wave for the watched seed, with its marks
  bool until_watched = false;  // as PassOptions::until_watched
  bool keep_idle_faults = false;  // record.idle_faults names them, in place of an error
  bool keep_fault = false;  // a controller's fault ends the record (record.fault) and is not thrown
  bool keep_coil = false;   // with coil_step_s as PassOptions
  double coil_step_s = 0.0;
  std::vector<bench::CallLog>* calls = nullptr;  // calls of the pass, as PassOptions::calls
};

/// Errors   InputError if the delay would be negative (it names the smallest outlet offset that
///          works)
RunResult run_scenario(const scenario::Scenario& scenario, const RunOptions& options = {});
/// Fills in what follows from the record of a pass: the summary, and what is shown of the watched
/// seed. `wave`: the record's wave was asked for.
void sum_up(RunResult& result, bool wave = false);
/// Of that only what is shown of the watched seed.
void show_watched(RunResult& result, bool wave = false);
void require_servable(const scenario::Scenario& scenario, const tune::TunedTable& tuned);

}  // namespace sim::run
