// CRC-32 of ISO 3309 (IEEE 802.3): what a delay table carries, so that a wrong bit is found before
// a valve fires by it.
//
//   reflected polynomial 0xEDB88320, start and end value inverted; "123456789" gives 0xCBF43926
//
// In       bytes           Out   32 bits
// Source   ISO 3309:1993; ITU-T V.42, 8.1.1.6.2
// Checked  tests/controller/corrections_test.cc
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace shared {

struct CheckSum {
  std::uint32_t state = 0xFFFFFFFFu;

  constexpr void take(std::uint8_t byte) {
    state ^= byte;
    for (int bit = 0; bit < 8; ++bit)
      state = (state >> 1) ^ ((state & 1u) != 0u ? 0xEDB88320u : 0u);
  }
  constexpr void take_word(std::uint32_t word) {
    for (int shift = 0; shift < 32; shift += 8) take(static_cast<std::uint8_t>(word >> shift));
  }
  constexpr std::uint32_t value() const { return ~state; }
};

}  // namespace shared
