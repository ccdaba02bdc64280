// One pass of a search, judged: whether it holds the scenario's requirements, and by how much.
//
//   margin   the least of the requirements' margins as shares of their limits
//            (sim/measure/tightness.h), from -10 to 10, so that a limit near 0 does not hide all
//            others; -1 where a figure is missing or the bands follow other seeds, -10 where the
//            controller or the bench failed
//   violated is what `run` answers with exit code 1: a requirement that was seen is violated, or
//            the bands follow other seeds
//
// A pass that cannot be served, in which a fault of the scenario itself never acts, or that leaves
// a requirement nothing to judge by, says nothing: it counts as neither, with the margin 10. A
// fault that the search has added may stay idle: the pass is judged as one without it, and says so.
//
// Errors   Interrupted where the caller asked to stop
// Checked  tests/sim/study/search/search_test.cc
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <string>

#include "sim/scenario/scenario.h"
#include "sim/study/run/run.h"

namespace sim::search {

enum class PassState : std::uint8_t {
  kHeld,
  kViolated,
  kNoData,
  kNotServed,
  kControllerFault,
  kBenchFault
};

struct JudgedPass {
  PassState state = PassState::kHeld;
  double margin_ratio = 10.0;
  std::string requirement;  // the tightest; empty: none was near
  std::string words;        // limit and value, or what went wrong
  bool idle_fault = false;  // a fault that the search has added changed nothing
  bool says_something() const {
    return state != PassState::kNoData && state != PassState::kNotServed;
  }
  bool fails() const {
    return state == PassState::kViolated || state == PassState::kControllerFault ||
           state == PassState::kBenchFault;
  }
};

/// The first `own_faults` faults are the scenario's own.
JudgedPass judged_pass(const run::RunResult& result, std::size_t own_faults);
/// Runs the scenario on the thread that calls.
JudgedPass judge_scenario(const scenario::Scenario& scenario, std::size_t own_faults,
                          const std::atomic<bool>* stop);
const char* state_word(PassState state);  // "held", "violated", "no data", ...

}  // namespace sim::search
