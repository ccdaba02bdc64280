// The check sum over what survives a reset: Adler-32, by its definition in RFC 1950, section 8.2.
#include <gtest/gtest.h>

#include <cstring>
#include <string_view>
#include <vector>

#include "controller/retained.h"

namespace {

using controller::Retained;

/// Both sums modulo 65521 after each byte, the second in the upper half.
std::uint32_t adler32(const std::vector<unsigned char>& bytes) {
  std::uint32_t first = 1;
  std::uint32_t second = 0;
  for (const unsigned char byte : bytes) {
    first = (first + byte) % 65'521u;
    second = (second + first) % 65'521u;
  }
  return second * 65'536u + first;
}

std::vector<unsigned char> bytes_before_check(const Retained& kept) {
  std::vector<unsigned char> bytes(offsetof(Retained, check));
  std::memcpy(bytes.data(), &kept, bytes.size());
  return bytes;
}

Retained sealed(std::uint32_t counter) {
  Retained kept;
  kept.role = SILLION_ROLE_ROW;
  kept.health = {counter, counter, counter, counter, counter, counter,
                 counter, counter, counter, counter, counter, counter};
  controller::seal(kept);
  return kept;
}

// The example of the common literature (from memory).
TEST(KeptCheck, TheDefinitionGivesItsExample) {
  constexpr std::string_view kText = "Wikipedia";
  EXPECT_EQ(adler32({kText.begin(), kText.end()}), 0x11e60398u);
}

// With large counters the second sum passes 65 521 several times.
TEST(KeptCheck, TheCheckIsAdler32OverAllBytesBefore) {
  for (const std::uint32_t counter : {0u, 1u, 0x01020304u, 0x7fff'ffffu, 0xffff'ffffu}) {
    const Retained kept = sealed(counter);
    EXPECT_EQ(kept.check, adler32(bytes_before_check(kept))) << counter;
  }
}

TEST(KeptCheck, AnyWrongByteStartsAnew) {
  for (std::size_t byte = 0; byte < sizeof(Retained); ++byte) {
    Retained kept = sealed(0x01020304u);
    reinterpret_cast<unsigned char*>(&kept)[byte] ^= 0x20;
    const Retained found =
        controller::retained_from(&kept, sizeof kept, SILLION_ROLE_ROW, SILLION_RESET_WATCHDOG);
    EXPECT_EQ(found.health.edges_accepted, 0u) << byte;
    EXPECT_EQ(found.health.resets, 1u) << byte;
  }
}

TEST(KeptCheck, ACauseOtherThanPowerGoesOn) {
  const Retained kept = sealed(7);
  for (const auto& [cause, resets, edges] : {std::tuple{SILLION_RESET_POWER, 0u, 0u},
                                             {SILLION_RESET_WATCHDOG, 8u, 7u},
                                             {SILLION_RESET_REQUEST, 8u, 7u},
                                             {SILLION_RESET_BROWN_OUT, 8u, 7u}}) {
    const Retained found = controller::retained_from(&kept, sizeof kept, SILLION_ROLE_ROW,
                                                     static_cast<std::uint32_t>(cause));
    EXPECT_EQ(found.health.resets, resets) << cause;
    EXPECT_EQ(found.health.edges_accepted, edges) << cause;
    EXPECT_EQ(found.health.safe_closed_ms, edges) << cause;
  }
  const Retained none =
      controller::retained_from(nullptr, 0, SILLION_ROLE_ROW, SILLION_RESET_WATCHDOG);
  EXPECT_EQ(none.health.resets, 1u);
  EXPECT_EQ(none.role, static_cast<std::uint32_t>(SILLION_ROLE_ROW));
}

// A block of another firmware may be whole in itself.
TEST(KeptCheck, AnotherMarkIsAnothersThoughItsCheckIsRight) {
  Retained kept = sealed(7);
  kept.mark ^= 1;
  kept.check = adler32(bytes_before_check(kept));
  const Retained found =
      controller::retained_from(&kept, sizeof kept, SILLION_ROLE_ROW, SILLION_RESET_WATCHDOG);
  EXPECT_EQ(found.health.edges_accepted, 0u);
}

}  // namespace
