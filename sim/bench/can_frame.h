// One data frame of CAN 2.0B with a 29-bit identifier, bit by bit: how long it takes on the wire.
//
//   start 1, base identifier 11, SRR 1, IDE 1, extension 18, RTR 1, r1 1, r0 1, length 4, data,
//   check sum 15                                                     these are stuffed
//   delimiter 1, acknowledgement 1 and its delimiter 1, end of frame 7     these are not
//   Behind five equal bits the sender puts one of the other value, which counts for the next five.
//   Check sum of all bits before it, by x^15 + x^14 + x^10 + x^8 + x^7 + x^4 + x^3 + 1. Dominant is
//   0, recessive 1.
//
// State    none, pure functions
// Errors   EXPECTS at most 8 bytes
// Source   Bosch, CAN Specification 2.0, part B, 1991, from memory
// Checked  tests/published/can_frame_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace sim::bench {

struct CanFrame {
  std::uint32_t id = 0;
  std::uint8_t length = 0;
  std::array<std::uint8_t, 8> bytes{};
};

inline constexpr std::int64_t kCanBit_ns = 4000;  // 250 kbit/s
inline constexpr int kCanIntermission = 3;        // recessive bits behind every frame

/// Check sum of bits in the order of the wire.
std::uint32_t can_crc15(std::span<const std::uint8_t> bits);
/// From the start bit to the end of the check sum, without stuff bits.
std::vector<std::uint8_t> can_bits(const CanFrame& frame);
/// Stuff bits that the sender adds to these.
int can_stuff_bits(std::span<const std::uint8_t> bits);
/// Bits on the wire from the start to the end of frame, without intermission.
int can_length_bits(const CanFrame& frame);

}  // namespace sim::bench
