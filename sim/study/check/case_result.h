// What is kept of one case of a suite that has run: verdict, margins, figures, hashes, or the fault
// that ended it. It is small, so that every finished case can have a file of its own.
//
// Errors   none: plain tables
// Checked  tests/sim/study/check/suite_run_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/check/suite_run.h"
#include "sim/study/run/run.h"

namespace sim::check {

struct CaseResult {
  std::string id;
  CaseState state = CaseState::kNotRun;
  std::string inputs;  // hash of scenario, controller and program, on which a result depends
  std::string fault;
  measure::Witness fault_at;  // row -1: the machine's controller; seed -1: before a pass
  measure::Verdict verdict = measure::Verdict::kNone;
  std::vector<measure::RequirementResult> requirements;
  std::vector<double> figures_si;  // by judged_metrics()  (tidy: unit is the metric's)
  long long seeds_placed = 0;
  double simulated_s = 0.0;
  output::RunHashes hashes;
  double spent_s = statistics::kNone_ratio;  // of the wall clock; only junit.xml shows it
  std::string cause;  // where its controller first differs from the reference, in words
};

/// The last seed whose edge came before a controller's fault; the first seed if there was none.
measure::Witness fault_witness(const run::RunResult& result);
/// `outcome` must be sealed already, so that it has its hashes.
CaseResult case_result_of(const SuiteCase& one, const CaseOutcome& outcome);
/// The least of its requirements (sim/measure/tightness.h); -infinity after a fault. The tightest
/// case runs first.
double tightness_ratio(const CaseResult& result);

}  // namespace sim::check
