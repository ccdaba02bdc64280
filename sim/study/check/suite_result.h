// A suite that has been judged: every case's result, its movement against the accepted results, and
// the trouble of each case, the gravest first (in words: sim/study/check/suite_words.h). The number
// is the exit code.
//
//   bytes        7  same inputs, another result: trust nothing
//   bench        3  the model left its physical range
//   input        2  the scenario cannot be served
//   controller   4  crash, hang, not-a-number, memory
//   violated     1  a requirement is violated, or the bands follow other seeds
//   worse        1  a metric is worse than accepted, beyond the margin
//   no data      5  no seed placed, nothing to judge by, or no requirement
//   missing      8  a mandatory case did not run
//   changed      6  inside the limits, waits for acceptance; 0 without --strict
//
// Errors   none
// Checked  tests/sim/study/check/suite_run_test.cc
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/study/check/baseline.h"
#include "sim/study/check/case_result.h"
#include "sim/study/check/suite.h"

namespace sim::check {

enum class Trouble : std::uint8_t {
  kNone,
  kChanged,
  kMissing,
  kNoData,
  kWorse,
  kViolated,
  kController,
  kInput,
  kBench,
  kBytes,
};

struct SuiteResult {
  Suite suite;
  std::string input;                // the suite's file as it was named
  std::string controller;           // empty: the reference
  std::vector<CaseResult> results;  // by suite.cases
  std::optional<Baseline> baseline;
  std::vector<Movements> movements;  // by suite.cases; empty without a baseline
  std::vector<std::string> gone;     // case ids of the baseline that no case of the suite has
  std::string keys_from;             // source of drawn keys, which repeats them
  std::size_t left_out = 0;          // number of the suite's scenarios that were not asked for
};

Trouble trouble_of(const SuiteResult& suite, std::size_t index);
const char* trouble_word(Trouble trouble);  // "violated", "controller", ...
/// Of the requirements of all judged cases, the one with the least margin over its limit; case -1:
/// none was seen.
struct Tightest {
  int index = -1;
  measure::RequirementResult requirement;
};
Tightest tightest_of(const SuiteResult& suite);
/// Where to look first: the worst seed of the first violated requirement, or of the first
/// requirement if none is violated; after a fault, its place.
measure::Witness witness_of_case(const CaseResult& result);
/// "sillion run BASE --set ..." and "sillion explain BASE --row R --seed N ... --wave seed.vcd".
std::string replay_line(const SuiteResult& suite, std::size_t index);
std::string explain_line(const SuiteResult& suite, std::size_t index, const measure::Witness& at);

}  // namespace sim::check
