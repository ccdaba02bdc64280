// `run`: one scenario, tuned, passed over, measured. The result holds all that summary.json,
// seeds.csv and the report show.
//
// Checked  tests/sim/run_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "model/row_unit.h"
#include "sim/bench/pass.h"
#include "sim/measure/summary.h"

namespace sim {

/// What the tuning of the nominal row found (sim/study/tune.h), as the controller carries it and
/// for the report.
struct TunedTable {
  sillion_attachment_table table{};
  double delay_time_s = 0.0;
  double delay_distance_m = 0.0;
  double lead_s = 0.0;  // at the scenario's speed and rate
  double lag_s = 0.0;
  double throw_m = 0.0;  // of the jet along the row, in b and not in the table's lead and lag
  double delay_at_speed_s = 0.0;   // D at the scenario's speed
  double smallest_offset_m = 0.0;  // smallest outlet offset that can be served at that speed
  double shortest_closed_s = 0.0;
  double flow_m3ps = 0.0;          // wanted in band at that speed
  double pressure_pa = 0.0;        // that gives it; above the supply's: cannot serve the rate
  double largest_flow_m3ps = 0.0;  // at the supply's full pressure
  bool serves_rate = true;
  bool servable = true;  // delay not negative
  bool lift_settable = false;
  double spring_rate_needed_npm = 0.0;
  // how step and lines were fitted to each other, nominal row; empty for an ideal row
  model::RowFit fit;
};

struct RunHashes {
  std::string scenario, parameters, controller, program, result;  // 16 hex digits each
};

struct RunResult {
  Scenario scenario;
  TunedTable tuned;
  std::vector<int> trim_um;  // of each row, from the strip test; empty: none
  PassRecord record;
  Summary summary;
  RunHashes hashes;
};

struct RunOptions {
  Watch watch{.row = 0, .seed = kWatchTypical};
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  bool wave = false;           // RunResult::record.wave of the watched seed, with its marks
  bool until_watched = false;  // as PassOptions::until_watched
  bool keep_fault =
      false;  // a controller's fault ends the record (record.fault), nothing is thrown
  std::vector<CallLog>* calls = nullptr;  // of the pass, as PassOptions::calls
};

/// Errors   InputError when the delay would be negative (it names the smallest offset that serves)
RunResult run_scenario(const Scenario& scenario, const RunOptions& options = {});
void require_servable(const Scenario& scenario, const TunedTable& tuned);

}  // namespace sim
