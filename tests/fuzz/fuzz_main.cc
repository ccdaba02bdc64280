// The entry of a fuzzer for one target, named when it is compiled.
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "tests/fuzz/fuzz_targets.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const fuzz::Target* const target = fuzz::find_target(SILLION_FUZZ_TARGET);
  if (target == nullptr) std::abort();
  target->read({reinterpret_cast<const char*>(data), size});
  return 0;
}
