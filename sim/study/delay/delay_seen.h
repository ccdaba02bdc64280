// What the passes of a delay study showed of every band: by how far its two ends miss, and what the
// controller's corrections can go by.
//
//   start error   band start less (seed - B/2)      end error   band end less (seed + B/2), ahead +
//   alone         no other seed nearer than half the theoretical spacing: a tape reader skips
//                 doubles, whose band may belong to either
//   Only seeds with a band of their own; merged stretches have no ends of one seed.
//
// Frame    ground, along the row        Order   conditions, rows, seeds: any number of threads
// Checked  tests/sim/study/delay/delay_fit_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/study/delay/delay_plan.h"

namespace sim::delay {

struct SeenBand {
  int row = 0;      // of the machine
  int cluster = 0;  // rows of one key are the same rows in every condition
  double start_error_m = 0.0;
  double end_error_m = 0.0;
  double error_m = 0.0;  // centre
  double rest_s = 0.0;   // last closing command to this opening; a second for the first
  bool alone = false;
  bool sensed = true;
};

inline constexpr int kTolerances = 3;  // 10 mm, 25 mm, half the band
double tolerance_m(const scenario::Scenario& scenario, int index);

struct RowCounts {
  long long sensed = 0;
  long long merged_good[kTolerances] = {};  // sensed seeds of merged stretches that are good
};

struct SeenCondition {
  DelayCondition condition;
  double flow_m3ps = 0.0;  // that the table reads lead at
  double viscosity_pas = 0.0;
  std::vector<SeenBand> bands;
  std::vector<RowCounts> rows;
  double jet_speed_mps = 0.0;  // volume-weighted mean
};

struct SeeingOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void()> on_condition;  // one more is done; from any thread
};

/// Passes over every condition with this table.
std::vector<SeenCondition> see_conditions(const DelayInputs& inputs,
                                          const std::vector<DelayCondition>& conditions,
                                          const sillion_attachment_table& table,
                                          const SeeingOptions& options = {});

}  // namespace sim::delay
