// Frames of CAN 2.0B against numbers from outside: check sum, a stuffed frame worked by hand, the
// longest frame that stuffing can make, identifiers of ISO 11783.
#include "sim/bench/can_frame.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "shared/row_frames.h"
#include "sim/bench/random.h"
#include "sim/scenario/network_keys.h"

namespace {

using sim::bench::CanFrame;

std::vector<std::uint8_t> bits_of(const std::string& text) {
  std::vector<std::uint8_t> bits;
  for (const char c : text)
    if (c != ' ') bits.push_back(c == '1' ? 1 : 0);
  return bits;
}

// CRC-15/CAN of the catalogue of parametrised CRC algorithms (reveng): check 0x059E over the nine
// characters "123456789", highest bit first; from memory.
TEST(CanFrame, CheckSumHasTheCheckValueOfTheCatalogue) {
  std::vector<std::uint8_t> bits;
  for (const char c : std::string("123456789"))
    for (int k = 7; k >= 0; --k) bits.push_back(static_cast<std::uint8_t>((c >> k) & 1));
  EXPECT_EQ(sim::bench::can_crc15(bits), 0x059Eu);
}

// Identifier 0 without data, by hand. Before the check sum stand 39 bits, of which only SRR and IDE
// (bits 12 and 13 from 0) are 1: the polynomial x^26 + x^25, and with the 15 bits of the sum
// x^41 + x^40. Powers modulo the polynomial, each the double of the one before, less 0xC599 where
// x^15 appears: x^15 = 4599, x^16 = 4EAB, 58CF, 7407, 2D97, x^20 = 5B2E, 73C5, 2213, 4426, 4DD5,
// x^25 = 5E33, 79FF, 3667, 6CCE, 1C05, x^30 = 380A, 7014, 25B1, 4B62, 535D, x^35 = 6323, 03DF,
// 07BE, 0F7C, 1EF8, x^40 = 3DF0, x^41 = 7BE0. Sum 3DF0 ^ 7BE0 = 4610 = 100 0110 0001 0000.
// Stuff bits: 12 zeros take two (behind the 5th and the 10th), 25 zeros take five, and no run of
// the check sum reaches five. So 54 + 7 = 61 bits, and 10 more of delimiters, acknowledgement and
// end of frame.
TEST(CanFrame, IsTheOneWorkedByHand) {
  const CanFrame frame;
  const std::vector<std::uint8_t> expected =
      bits_of("0 00000000000 11 000000000000000000 000 0000 100011000010000");
  EXPECT_EQ(sim::bench::can_bits(frame), expected);
  EXPECT_EQ(sim::bench::can_stuff_bits(expected), 7);
  EXPECT_EQ(sim::bench::can_length_bits(frame), 71);
}

// A stuff bit counts for the next five: 11111 0000 1111 takes one behind the ones, which makes five
// zeros, one behind those, which makes five ones, and one behind those.
TEST(CanFrame, StuffBitsCountForTheNextFive) {
  EXPECT_EQ(sim::bench::can_stuff_bits(bits_of("1111100001111")), 3);
  EXPECT_EQ(sim::bench::can_stuff_bits(bits_of("1111000011110000")), 0);
}

// R. Davis, A. Burns, R. Bril, J. Lukkien, Controller Area Network (CAN) schedulability analysis,
// Real-Time Systems 35 (2007): a frame with s bytes takes at most
// g + 8 s + 13 + floor((g + 8 s - 1) / 4) bits with its intermission, g = 54 for 29-bit
// identifiers. From memory.
int longest_bits(int bytes) { return 54 + 8 * bytes + 13 + (54 + 8 * bytes - 1) / 4; }

TEST(CanFrame, NoFrameIsLongerThanTheBoundOfSchedulabilityAnalysis) {
  EXPECT_EQ(longest_bits(8), 160);
  const sim::bench::RandomStream stream{.rng_key = 3};
  for (std::uint64_t k = 0; k < 20'000; ++k) {
    CanFrame frame;
    frame.length = static_cast<std::uint8_t>(k % 9);
    // Half of the frames have few kinds of bytes: those that need most stuff bits.
    const auto draw = [&](std::uint64_t index) {
      return stream.uniform_ratio(sim::bench::Purpose::kBusData, 16 * k + index);
    };
    frame.id = static_cast<std::uint32_t>(draw(0) * 0x20000000);
    if (k % 2 == 0) frame.id &= 0x1e1e1e1eu;
    for (std::size_t byte = 0; byte < frame.length; ++byte)
      frame.bytes[byte] = k % 2 == 0 ? (draw(byte + 1) < 0.5 ? 0x3c : 0x78)
                                     : static_cast<std::uint8_t>(draw(byte + 1) * 256.0);
    const int bits = sim::bench::can_length_bits(frame) + sim::bench::kCanIntermission;
    EXPECT_LE(bits, longest_bits(frame.length));
    EXPECT_GE(bits, 54 + 8 * frame.length + 13);
  }
}

// The bound's stuffed part is reached by the worst sequence: five equal bits, then four by four.
TEST(CanFrame, TheWorstSequenceReachesTheBound) {
  std::vector<std::uint8_t> bits(1, 0);
  for (std::size_t k = 0; bits.size() < 54 + 64; ++k)
    bits.insert(bits.end(), 4, static_cast<std::uint8_t>(k % 2));
  bits.resize(54 + 64);
  EXPECT_EQ(sim::bench::can_stuff_bits(bits), (54 + 64 - 1) / 4);
}

// ISO 11783-3: priority in bits 26 to 28, parameter group in 8 to 25, source in 0 to 7. A group
// whose format byte is below 240 holds its destination in the low byte. From memory: process data
// 0xCB00 with priority 3, engine controller 1 is 61444 with priority 3 from 0, vehicle speed 65265
// with priority 6, wheel-based speed 65096 with priority 3 from a tractor's controller (0xF0).
TEST(CanFrame, IdentifiersHoldPriorityGroupAndSource) {
  const auto priority = [](std::uint32_t id) { return id >> 26; };
  const auto group = [](std::uint32_t id) {
    const std::uint32_t wide = (id >> 8) & 0x3ffffu;
    return ((wide >> 8) & 0xffu) < 240 ? wide & 0x3ff00u : wide;
  };
  EXPECT_EQ(priority(sim::scenario::kMachineBusId), 3u);
  EXPECT_EQ(group(sim::scenario::kMachineBusId), 0xCB00u);
  EXPECT_EQ(sim::scenario::kMachineBusId & 0xffu, 0x80u);
  const std::vector<std::uint32_t> others = sim::scenario::CabSection{}.load_ids;
  ASSERT_EQ(others.size(), 3u);
  EXPECT_EQ(group(others[0]), 61444u);
  EXPECT_EQ(group(others[1]), 65096u);
  EXPECT_EQ(others[1] & 0xffu, 0xF0u);
  EXPECT_EQ(group(others[2]), 65265u);
  EXPECT_EQ(priority(others[2]), 6u);
}

}  // namespace
