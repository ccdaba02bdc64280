// Two builds on the same seeds: by how much each judged metric moves, run by run.
//
//   d_r         new less old in run r; rows share speed signal and ground within a run, so the run
//               is the observation
//   interval    mean d +- t(0.995, n-1) sd / sqrt(n): 99 % of one metric by itself
//   shifted     the metric's interval at its own level of Holm's procedure (1 % over all metrics
//               together, largest |t| first) leaves out 0, and |mean d| exceeds the margin
//   unclear     neither shifted nor all of the interval inside the margin: `needed` runs would
//               tell, if they scatter as these
//   within      all of the interval inside the margin
//
// Errors   EXPECTS as many old as new figures, of one length
// Source   S. Holm, Scand. J. Statist. 6, 1979 (from memory); Student's t
// Checked  tests/sim/study/check/paired_shift_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "sim/study/check/judged_metrics.h"

namespace sim::check {

enum class ShiftVerdict : std::uint8_t { kWithin, kBetter, kShifted, kUnclear };

struct MetricShift {
  std::string metric, unit;
  double old_si = statistics::kNone_ratio,
         new_si = statistics::kNone_ratio;   // tidy: unit is the metric's; means
  double mean_si = statistics::kNone_ratio;  // tidy: unit is the metric's
  double low_si = statistics::kNone_ratio,
         high_si = statistics::kNone_ratio;  // tidy: unit is the metric's
  double margin_si = 0.0;                    // tidy: unit is the metric's
  ShiftVerdict verdict = ShiftVerdict::kUnclear;
  int needed = 0;  // runs, of an unclear one; 0: not to be told
};

/// Figures of a run by judged_metrics(); runs by index. A metric that is not-a-number in both runs
/// leaves that run out; in one alone it makes the metric unclear.
std::vector<MetricShift> paired_shifts(std::span<const std::vector<double>> old_runs_si,
                                       std::span<const std::vector<double>> new_runs_si,
                                       std::span<const double> margins_si);
const char* shift_word(ShiftVerdict verdict);

}  // namespace sim::check
