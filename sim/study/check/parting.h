// Where two builds of a controller part over one scenario: the first call of any controller whose
// input or output differs, or in which one of the builds fails.
//
//   Both builds run over a first sixteenth of the pass, then a quarter, then all of it, until they
//   part: most part early. What is kept is a digest of every call; the call in which they part is
//   then run once more and kept whole.
//
// Errors   InputError, Interrupted. A controller that fails, and a model that leaves physics, end
//          the look there and are part of the answer.
// Checked  tests/sim/study/check/parting_test.cc, tests/sim/study/check/compare_builds_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::check {

/// One member of a call that the builds do not agree on.
struct CallDifference {
  std::string member;  // "compares[0].at_ticks"
  long long old_value = 0, new_value = 0;
};

struct Parting {
  int run = -1;                // -1: none
  int row = -1;                // -1: the machine's controller
  long long call = 0;          // of that controller, from 0
  double at_s = 0.0;           // bench time
  std::uint32_t at_ticks = 0;  // of its own counter
  double equal_until_s = 0.0;  // its last call in which both were the same
  bool same_input = true;      // false: the difference came in from outside
  std::vector<CallDifference> differences;
  std::string fault;  // not empty: both were the same up to this call, in which one build fails
};

/// `run` of the answer is 0 where they part. Both scenarios are one but for their
/// controller.library.
Parting find_parting(const scenario::Scenario& old_build, const scenario::Scenario& new_build,
                     const std::atomic<bool>* stop);

}  // namespace sim::check
