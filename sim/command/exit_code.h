// Exit codes, as README.md lists them. The worst wins in the order 7, 3, 2, 4, 1, 5, 8, 6, 0.
#pragma once

namespace sim::command {

enum ExitCode : int {
  kHeld = 0,
  kViolated = 1,
  kBadInput = 2,
  kBenchFailed = 3,
  kControllerFailed = 4,
  kNothingToJudge = 5,
  kChanged = 6,
  kDifferentBytes = 7,
  kBudgetSpent = 8,
  kInterrupted = 130,
  kTerminated = 143,
};

}  // namespace sim::command
