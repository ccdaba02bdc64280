// What is fuzzed: every reader of what people and programs hand in. Each takes any bytes, and
// either reads them or says what is wrong in the one error type of its layer; all else is a fault.
//
//   A fuzzer (clang, `cmake -DSILLION_FUZZ=ON`) looks for bytes that break this; the tests replay
//   the corpus in tests/fuzz/corpus in every run.
// Checked  tests/fuzz/fuzz_replay_test.cc
#pragma once

#include <span>
#include <string_view>

namespace fuzz {

struct Target {
  std::string_view name;
  void (*read)(std::string_view bytes);
};

std::span<const Target> targets();
/// Null where there is no target of that name.
const Target* find_target(std::string_view name);

}  // namespace fuzz
