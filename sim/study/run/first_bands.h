// The first 10 bands of each row after the planter was lowered, after it stood still or was in
// hold, and after the row was switched on: the column has rested, pressure and speed have to be
// found again; and behind the border of a zone of another rate, where the pressure has to come.
//
//   An instant counts where the scenario states it: [work] lift_times, run_times and row_off, knots
//   of the travel at which the machine starts from a standstill, and borders of [[rate.zone]]
//   behind which something is laid.
//   A dose's share is that of the commanded one in its zone (sim/measure/placement.h).
//   A band counts to the last such instant before the edge of its seed; seeds are counted from the
//   first edge behind it.
//
// Errors   none: what has no seed is left out
// Checked  tests/sim/study/run/applied_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/run/run.h"

namespace sim::run {

inline constexpr int kFirstBands = 10;

inline constexpr const char* kAfterNewRate = "a new rate";

struct FirstBands {
  std::string after;     // "lowering", "hold", "a stop", "switching on", "a new rate"
  int bands = 0;         // that belong to one of the first seeds alone
  int without_band = 0;  // sensed seeds among them without a band
  double error_mean_m = statistics::kNone_ratio;
  double error_max_m = statistics::kNone_ratio;  // largest distance
  double dose_mean_m3 = statistics::kNone_ratio;
  double dose_least_m3 = statistics::kNone_ratio;
  double share_mean_ratio = statistics::kNone_ratio;  // of the commanded doses
  double share_least_ratio = statistics::kNone_ratio;
  double share_most_ratio = statistics::kNone_ratio;
};

/// One for each kind of start that the scenario has, over all rows.
std::vector<FirstBands> first_bands_of(const RunResult& result);

}  // namespace sim::run
