// A suite that has been judged: every case's result, what moved against the accepted results, and
// what is wrong with each, in one order of gravity (in words: sim/study/check/suite_words.h).
//
//   bytes        7  same inputs, another result: trust nothing
//   bench        3  the model left physics
//   input        2  cannot be served
//   controller   4  crash, hang, not-a-number, memory
//   violated     1  a requirement, or bands that follow other seeds
//   worse        1  than accepted, beyond the margin
//   no data      5  nothing placed, nothing met, no requirement
//   missing      8  mandatory and not run
//   changed      6  inside the limits, waits for acceptance
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
  std::vector<std::string> gone;     // in the baseline and in no case
  std::string keys_from;             // of drawn keys: what repeats them
  std::size_t left_out = 0;          // scenarios of the suite that were not asked for
};

Trouble trouble_of(const SuiteResult& suite, std::size_t index);
const char* trouble_word(Trouble trouble);  // "violated", "controller", ...
/// The requirement of all judged cases with the least margin over its limit; case -1: none seen.
struct Tightest {
  int index = -1;
  measure::RequirementResult requirement;
};
Tightest tightest_of(const SuiteResult& suite);
/// Where to look first: the worst seed of the first violated requirement, else of the first one, or
/// of a fault.
measure::Witness witness_of_case(const CaseResult& result);
/// "sillion run BASE --set ..." and "sillion explain BASE --row R --seed N ... --wave seed.vcd".
std::string replay_line(const SuiteResult& suite, std::size_t index);
std::string explain_line(const SuiteResult& suite, std::size_t index, const measure::Witness& at);

}  // namespace sim::check
