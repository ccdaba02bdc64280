// Two builds on the same seeds: how much each judged metric moves, run by run.
//
//   d_r         new minus old in run r; rows of a run share speed signal and ground, so the run is
//               the observation
//   interval    mean d +- t(0.995, n-1) sd / sqrt(n): 99 % for each metric by itself
//   shifted     the metric's interval at its own level of Holm's procedure (1 % over all metrics
//               together, largest |t| first) does not contain 0, and |mean d| exceeds the margin
//   unclear     neither shifted nor is the whole interval inside the margin: `needed` runs would
//               decide, if they scatter like these
//   within      the whole interval is inside the margin
//
// Errors   EXPECTS equal numbers of old and new runs, and figures of equal length
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
  int needed = 0;  // runs that would decide an unclear metric; 0: not known
};

/// Figures of a run in the order of judged_metrics(); runs by index. If a metric is not-a-number in
/// both builds, that run is left out; if it is in one build only, the metric is unclear.
std::vector<MetricShift> paired_shifts(std::span<const std::vector<double>> old_runs_si,
                                       std::span<const std::vector<double>> new_runs_si,
                                       std::span<const double> margins_si);
const char* shift_word(ShiftVerdict verdict);

}  // namespace sim::check
