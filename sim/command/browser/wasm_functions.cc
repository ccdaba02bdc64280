// The elementary functions of the row's module alone, for their test: functions.wasm.
#include "sim/command/browser/function_probe.h"

extern "C" [[clang::export_name("digest")]] std::uint64_t functions_digest(int which,
                                                                           std::uint64_t from,
                                                                           std::uint64_t count) {
  return sim::command::probe(which, from, count);
}
