// What a port writes down of its calls, so that two builds can be compared call by call.
//
// digest   FNV-1a over the words of input and output: tells calls apart, resists no forgery
// Errors   none
// Checked  tests/sim/study/check/compare_builds_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "shared/controller_abi.h"
#include "shared/time.h"

namespace sim::bench {

struct CallLog {
  std::vector<std::uint64_t> digests;  // of input and output, in order of calls
  std::int64_t capture = -1;           // the call to keep whole
  shared::Instant captured_at{};
  shared::Instant equal_until{};  // of the call before the captured one
  sillion_input captured_input{};
  sillion_output captured_output{};
};

/// Books call number `call` (from 0).
void write_down(CallLog& log, std::int64_t call, shared::Instant at, const sillion_input& input,
                const sillion_output& output);

}  // namespace sim::bench
