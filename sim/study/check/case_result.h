// What is left of one case of a suite once it has run: verdict, margins, figures, hashes, or the
// fault that ended it. Small, so that every finished case can be kept in a file of its own.
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
  std::string inputs;  // hash of scenario, controller and program: what a result hangs on
  std::string fault;
  measure::Witness fault_at;  // row -1: the machine's controller; seed -1: before a pass
  measure::Verdict verdict = measure::Verdict::kNone;
  std::vector<measure::RequirementResult> requirements;
  std::vector<double> figures_si;  // by judged_metrics()  (tidy: unit is the metric's)
  long long seeds_placed = 0;
  double simulated_s = 0.0;
  output::RunHashes hashes;
  double spent_s = statistics::kNone_ratio;  // of the wall clock; nothing but junit.xml shows it
  std::string cause;  // where its controller parts from the reference, in words
};

/// The seed whose edge came last before a controller's fault, or the first where none had come.
measure::Witness fault_witness(const run::RunResult& result);
/// `outcome` sealed before, so that its hashes stand.
CaseResult case_result_of(const SuiteCase& one, const CaseOutcome& outcome);
/// Margin over its limit, or itself where that is 0; +infinity where nothing was seen, and for a
/// count at its floor of 0, which can come no closer.
double tightness_ratio(const measure::RequirementResult& one);
/// The least of its requirements; -infinity after a fault. What is tightest runs first.
double tightness_ratio(const CaseResult& result);

}  // namespace sim::check
