#include "sim/bench/call_log.h"

#include <algorithm>
#include <type_traits>

namespace sim::bench {
namespace {

// A digest reads the bytes of a call, so none of them may be padding.
static_assert(std::has_unique_object_representations_v<sillion_input>);
static_assert(std::has_unique_object_representations_v<sillion_output>);

template <typename T>
std::uint64_t digest(std::uint64_t hash, const T& value) {
  static_assert(sizeof(T) % sizeof(std::uint32_t) == 0);
  const auto* word = reinterpret_cast<const unsigned char*>(&value);
  for (std::size_t k = 0; k < sizeof(T); k += sizeof(std::uint32_t)) {
    std::uint32_t part = 0;
    std::copy_n(word + k, sizeof part, reinterpret_cast<unsigned char*>(&part));
    hash = (hash ^ part) * 0x100000001b3u;
  }
  return hash;
}

}  // namespace

void write_down(CallLog& log, std::int64_t call, shared::Instant at, const sillion_input& input,
                const sillion_output& output) {
  if (log.capture == call + 1) log.equal_until = at;
  if (log.capture == call) {
    log.captured_at = at;
    log.captured_input = input;
    log.captured_output = output;
  }
  log.digests.push_back(digest(digest(0xcbf29ce484222325u, input), output));
}

}  // namespace sim::bench
