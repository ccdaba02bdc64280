// What the tape readings of a strip test show: time error, distance error and each row's trim.
//
//   offset_ijr = v_r time + distance + row_i + run_r + e_ijr       sum over rows of row_i = 0
//   run_r    common to all rows of run r (noise of the speed signal, a slipping wheel): the rows of
//            one run are no independent evidence for the law
//   cells    the means of one row in one run; two-way least squares on them gives rows and run
//            means. Their scatter s2 with (cells - runs - rows + 1) degrees of freedom contains
//            seed scatter, tape error and whatever a row does differently from run to run
//   rows     interval from s2 and t; run_r drops out of them
//   law      straight line through the run means over speed. With at least 3 runs their scatter
//            about the line is measured (runs - 2 degrees of freedom, t) and the intervals contain
//            run_r: two runs per speed have t = 4.30, which widens them much; three 2.78. With 2
//            runs run_r cannot be seen: `assumed_run_sd_m` replaces it, and the result says so
//   recovered  share of the true row-to-row variance that the trims remove: noise E = mean variance
//              of a measured row, S = variance over rows; before = S - E, after = E, 1 - E/(S - E);
//              not below 0. Not-a-number where S <= E: nothing shows above the noise
//   outlier  a reading further than max(3.5, normal limit for 0.05/(2 n)) robust sd from its cell's
//            median (sd = MAD/0.6745 over all cells): it is left out and reported
// Sign     time: the valve opens this much too late; distance: b is this much too long; positive is
//          ahead. Enter a - time, b - distance; a row's trim is -row_i.
// Errors   InputError: one speed or two speeds too near (the message names one that would do),
//          fewer than 2 bands in a cell, runs without a row in common. One row only: no trims, no
//          error
// Source   two-way layout; B. Iglewicz, D. C. Hoaglin, How to Detect and Handle Outliers, ASQC
//          1993: modified z score, 3.5 (from memory)
// Checked  tests/sim/study/delay/strip_fit_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/study/delay/strip_readings_csv.h"

namespace sim::delay {

struct StripTrim {
  int row = 0;
  double trim_m = 0.0;  // to be entered: minus the row's mean distance ahead of all rows' mean
  double half_m = 0.0;  // 95 %
};

struct SpeedOffset {
  double speed_mps = 0.0;
  double offset_m = 0.0;  // mean of all rows
  double half_m = 0.0;
};

struct StripFit {
  double time_s = 0.0, time_half_s = 0.0;
  double distance_m = 0.0, distance_half_m = 0.0;
  double correlation_ratio = 0.0;
  std::vector<StripTrim> trims;      // empty: one row, or no degree of freedom
  std::vector<SpeedOffset> offsets;  // at the slowest and the fastest speed, from the line
  bool run_error_seen = false;       // 3 runs or more
  double run_sd_m = 0.0;  // of a run's mean about the line; the assumed one where not seen
  int run_freedom = 0;
  double scatter_m = 0.0;        // sd of a single reading within its cell
  double row_before_sd_m = 0.0;  // true row-to-row spread, without the noise
  double row_after_sd_m = 0.0;   // what measured trims leave of that spread
  double recovered_ratio = 0.0;
  int readings = 0, runs = 0, rows = 0;
  std::vector<StripReading> outliers;
  double outlier_limit_m = 0.0;
};

struct StripFitRules {
  double assumed_run_sd_m = 1e-3;
  double least_speed_ratio = 1.3;  // fastest over slowest; below it time and distance look alike
  std::string file;                // for messages
};

StripFit fit_strip(std::span<const StripReading> readings, const StripFitRules& rules = {});

}  // namespace sim::delay
