// Runs the cases of a suite in a given order on all threads, each case on one thread.
//
//   A case that may no longer start (budget) is left out, and `on_case` is not called for it. A
//   fault ends its case, not the suite. No case is run twice.
//
// Errors   Interrupted when the caller asked to stop
// Checked  tests/sim/study/check/suite_run_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <span>
#include <string>

#include "sim/study/check/suite.h"
#include "sim/study/run/run.h"

namespace sim::check {

enum class CaseState : std::uint8_t {
  kNotRun,           // the budget was spent, or the suite was interrupted
  kJudged,           // a pass ran to its end
  kControllerFault,  // crash, hang, not-a-number, memory
  kBenchFault,       // the model left its physical range
  kBadInput,         // the scenario cannot be served, or a file is missing
};

struct CaseOutcome {
  CaseState state = CaseState::kJudged;
  std::string fault;                         // why the case was not judged, in words
  double spent_s = statistics::kNone_ratio;  // by SuiteRunOptions::clock_s
  run::RunResult result;  // after a controller's fault: the record up to it, if a pass had begun
};

struct SuiteRunOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<bool()> may_start = [] { return true; };
  /// Seconds of the caller's clock; empty: no case is timed.
  std::function<double()> clock_s;
  /// Called when a case has ended, from any thread, one call at a time.
  std::function<void(std::size_t index, CaseOutcome& outcome)> on_case;
};

/// `order`: indices into suite.cases.
void run_cases(const Suite& suite, std::span<const std::size_t> order,
               const SuiteRunOptions& options);
CaseOutcome run_case(const scenario::Scenario& scenario, const std::atomic<bool>* stop);

}  // namespace sim::check
