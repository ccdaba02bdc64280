// Runs cases of a suite on all threads, each whole on one of them, in a given order.
//
//   A case that may not start any more (budget) is left out and told by nobody but its absence.
//   Faults end their case, not the suite. Nothing is ever run twice.
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
  kNotRun,           // the budget was spent, or it was interrupted
  kJudged,           // a pass ran to its end
  kControllerFault,  // crash, hang, not-a-number, memory
  kBenchFault,       // the model left physics
  kBadInput,         // cannot be served, or a file that is missing
};

struct CaseOutcome {
  CaseState state = CaseState::kJudged;
  std::string fault;                         // in words, of any other end
  double spent_s = statistics::kNone_ratio;  // by SuiteRunOptions::clock_s
  run::RunResult result;  // of a controller's fault: up to it, as far as a pass had begun
};

struct SuiteRunOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<bool()> may_start = [] { return true; };
  /// Seconds of the caller's clock; empty: nothing is timed.
  std::function<double()> clock_s;
  /// Called as cases end, from any thread, one at a time.
  std::function<void(std::size_t index, CaseOutcome& outcome)> on_case;
};

/// `order`: indices into suite.cases.
void run_cases(const Suite& suite, std::span<const std::size_t> order,
               const SuiteRunOptions& options);
CaseOutcome run_case(const scenario::Scenario& scenario, const std::atomic<bool>* stop);

}  // namespace sim::check
