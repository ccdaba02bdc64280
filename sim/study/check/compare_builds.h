// Two builds of a controller over the same scenario, seeds and noise.
//
//   level one   every call of both has the same input and output: the bytes are the same, and there
//               is nothing else to compare
//   level two   the first difference (controller, call, instant, outputs), and the paired shift of
//               every judged metric (paired_shift.h)
//
// The runs have the same keys as a study's replicas; the first has the scenario's own key.
// Errors   InputError, BenchError, ControllerError of either build, Interrupted
// Checked  tests/sim/study/check/compare_builds_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/study/check/paired_shift.h"
#include "sim/study/check/parting.h"

namespace sim::check {

struct Comparison {
  int runs = 0;
  bool same_bytes = false;
  Parting parting;
  std::vector<MetricShift> shifts;  // empty if the bytes are the same
};

struct CompareOptions {
  int runs = 8;
  std::vector<double> margins_si;  // by judged_metrics()  (tidy: unit is the metric's)
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

/// Both scenarios must be the same except for their controller.library.
Comparison compare_builds(const scenario::Scenario& old_build, const scenario::Scenario& new_build,
                          const CompareOptions& options);

}  // namespace sim::check
