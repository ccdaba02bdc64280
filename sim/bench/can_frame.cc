#include "sim/bench/can_frame.h"

#include "shared/check.h"

namespace sim::bench {
namespace {

constexpr std::uint32_t kPolynomial = 0x4599;  // without x^15
constexpr std::uint32_t kFifteenBits = 0x7fff;
constexpr int kEqualBits = 5;
constexpr int kUnstuffed = 10;  // three of delimiters and acknowledgement, seven of end of frame

void put(std::vector<std::uint8_t>& bits, std::uint32_t value, int count) {
  for (int k = count - 1; k >= 0; --k) bits.push_back(static_cast<std::uint8_t>((value >> k) & 1u));
}

}  // namespace

std::uint32_t can_crc15(std::span<const std::uint8_t> bits) {
  std::uint32_t sum = 0;
  for (const std::uint8_t bit : bits) {
    const bool divides = (bit ^ ((sum >> 14) & 1u)) != 0;
    sum = (sum << 1) & kFifteenBits;
    if (divides) sum ^= kPolynomial;
  }
  return sum;
}

std::vector<std::uint8_t> can_bits(const CanFrame& frame) {
  EXPECTS(frame.length <= frame.bytes.size());
  std::vector<std::uint8_t> bits;
  bits.reserve(118);
  put(bits, 0, 1);
  put(bits, frame.id >> 18, 11);
  put(bits, 3, 2);  // SRR, IDE
  put(bits, frame.id & 0x3ffffu, 18);
  put(bits, 0, 3);  // RTR, r1, r0
  put(bits, frame.length, 4);
  for (int k = 0; k < frame.length; ++k) put(bits, frame.bytes[static_cast<std::size_t>(k)], 8);
  put(bits, can_crc15(bits), 15);
  return bits;
}

int can_stuff_bits(std::span<const std::uint8_t> bits) {
  int stuffed = 0;
  int equal = 0;
  int last = -1;
  for (const std::uint8_t bit : bits) {
    equal = bit == last ? equal + 1 : 1;
    last = bit;
    if (equal < kEqualBits) continue;
    ++stuffed;
    last = 1 - bit;
    equal = 1;
  }
  return stuffed;
}

int can_length_bits(const CanFrame& frame) {
  const std::vector<std::uint8_t> bits = can_bits(frame);
  return static_cast<int>(bits.size()) + can_stuff_bits(bits) + kUnstuffed;
}

}  // namespace sim::bench
