// Where two builds of a controller first differ over one scenario: the first call of any controller
// whose input or output differs, or in which one of the builds fails.
//
//   Both builds run over the first sixteenth of the pass, then a quarter, then all of it, until
//   they differ, because most builds differ early. A digest of every call is recorded; the pass is
//   then run once more, and the call in which they differ is recorded in full.
//
// Errors   InputError, Interrupted. A controller that fails, and a model that leaves its physical
//          range, end the comparison there and are part of the answer.
// Checked  tests/sim/study/check/parting_test.cc, tests/sim/study/check/compare_builds_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::check {

/// One member of a call that differs between the builds.
struct CallDifference {
  std::string member;  // "compares[0].at_ticks"
  long long old_value = 0, new_value = 0;
};

struct Parting {
  int run = -1;                // -1: no difference
  int row = -1;                // -1: the machine's controller
  long long call = 0;          // number of the call of that controller, from 0
  double at_s = 0.0;           // bench time
  std::uint32_t at_ticks = 0;  // of the controller's own counter
  double equal_until_s = 0.0;  // last call of that controller in which both builds were the same
  bool same_input = true;      // false: the difference came in from outside the controller
  std::vector<CallDifference> differences;
  std::string fault;  // not empty: both builds were the same up to this call, in which one fails
};

/// `run` of the answer is 0 if the builds differ. Both scenarios must be the same except for their
/// controller.library.
Parting find_parting(const scenario::Scenario& old_build, const scenario::Scenario& new_build,
                     const std::atomic<bool>* stop);

}  // namespace sim::check
