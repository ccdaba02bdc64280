// What the module of the message passing interface (MPI) offers to the program: plain functions of
// C, because the program finds them by name in a library that it loads only if it was started as
// one of several ranks.
//
// Why      linking MPI to the program itself costs every start 6 ms
// Errors   each function returns 0, or MPI's error number
// Checked  tests/sim/command/ranks_slow_test.cc
#pragma once

namespace sim::command {

struct RanksModule {
  /// Starts MPI; the signal handlers of the program stay as they are.
  int (*join)(int* rank, int* count) = nullptr;
  /// Starts to gather `bytes` of each rank into `all`, in the order of the ranks.
  int (*gather)(const void* mine, void* all, int bytes) = nullptr;
  /// Whether what was started last is complete.
  int (*is_gathered)(int* complete) = nullptr;
  /// Ends MPI, in all ranks.
  int (*leave)() = nullptr;
};

/// The name of the function `const RanksModule* ()` in the module.
inline constexpr const char* kRanksEntry = "sillion_ranks";

}  // namespace sim::command
