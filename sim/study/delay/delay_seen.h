// What the passes of a delay study show of every band: how far its two ends are off, and the
// conditions that the controller's corrections depend on.
//
//   start error   band start less (seed - B/2)      end error   band end less (seed + B/2), ahead +
//   alone         no other seed is nearer than half the theoretical spacing. A tape reader skips
//                 doubles, whose band may belong to either seed
//   Only seeds with a band of their own count; a merged stretch has no ends that belong to one
//   seed.
//
// Frame    ground, along the row        Order   conditions, rows, seeds: any number of threads
// Checked  tests/sim/study/delay/delay_fit_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/output/ledger.h"
#include "sim/study/delay/delay_plan.h"

namespace sim::delay {

struct SeenBand {
  int row = 0;      // number of the machine's row
  int cluster = 0;  // rows of one key are one set of rows in every condition
  double start_error_m = 0.0;
  double end_error_m = 0.0;
  double error_m = 0.0;  // centre
  double rest_s = 0.0;   // last closing command to this opening; at most 1 s, 1 s for the first
  bool alone = false;
  bool sensed = true;
};

inline constexpr int kTolerances = 3;  // 10 mm, 25 mm, half the band
double tolerance_m(const scenario::Scenario& scenario, int index);

struct RowCounts {
  long long sensed = 0;
  long long merged_good[kTolerances] = {};  // sensed seeds of merged stretches that count as good
};

struct SeenCondition {
  DelayCondition condition;
  double flow_m3ps = 0.0;  // at which the table's lead is read
  double viscosity_pas = 0.0;
  std::vector<SeenBand> bands;
  std::vector<RowCounts> rows;
  double jet_speed_mps = 0.0;  // volume-weighted mean
};

struct SeeingOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void()> on_condition;  // called after each condition, from any thread
  output::Ledger* ledger = nullptr;    // null: passes are neither found nor kept
};

/// Runs the passes of all conditions with this table; those in the ledger are not run again.
std::vector<SeenCondition> see_conditions(const DelayInputs& inputs,
                                          const std::vector<DelayCondition>& conditions,
                                          const sillion_attachment_table& table,
                                          const SeeingOptions& options = {});

}  // namespace sim::delay
