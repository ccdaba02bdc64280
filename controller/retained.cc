#include "controller/retained.h"

#include <algorithm>

namespace controller {
namespace {

constexpr std::uint32_t kMark = 0x5111'0a01u;
constexpr std::size_t kChecked = offsetof(Retained, check);
static_assert(kChecked <= 5552);

/// Adler-32 over the bytes before `check`: order counts, and a block of zeros does not pass. Both
/// sums of so few bytes stay below 2^32, so one remainder at the end gives the same as one per byte
/// (RFC 1950, section 9: up to 5552 bytes).
std::uint32_t sum_of(const Retained& kept) {
  const auto* bytes = reinterpret_cast<const unsigned char*>(&kept);
  std::uint32_t first = 1;
  std::uint32_t second = 0;
  for (std::size_t i = 0; i < kChecked; ++i) {
    first += bytes[i];
    second += first;
  }
  return (second % 65'521u << 16) | first % 65'521u;
}

}  // namespace

void seal(Retained& kept) {
  kept.mark = kMark;
  kept.check = sum_of(kept);
}

Retained retained_from(const void* memory, std::size_t size, std::uint32_t role,
                       std::uint32_t reset_cause) {
  Retained fresh;
  fresh.role = role;
  if (reset_cause == SILLION_RESET_POWER) return fresh;
  fresh.health.resets = 1;
  if (memory == nullptr || size < sizeof(Retained)) return fresh;
  Retained kept;
  const auto* from = static_cast<const unsigned char*>(memory);
  std::copy(from, from + sizeof(Retained), reinterpret_cast<unsigned char*>(&kept));
  if (kept.mark != kMark || kept.role != role || kept.check != sum_of(kept)) return fresh;
  ++kept.health.resets;
  return kept;
}

}  // namespace controller
