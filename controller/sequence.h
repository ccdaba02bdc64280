// Whether a numbered frame is newer than the last one taken.
//
//   newer      1 to 32767 ahead of the last, modulo 65536
//   restarted  more than 64 behind: the sender began anew, taken at once. A radio that holds
//              frames back or repeats them is a few numbers behind, never that many
//   dropped    repeated, or up to 64 behind
//
// State    the last number; the owner clears it when what it got has grown stale
// Checked  tests/controller/frames_test.cc
#pragma once

#include <cstdint>

namespace controller {

struct Sequence {
  bool any = false;
  std::uint16_t last = 0;
};

/// True for a number with which the sender has begun anew.
constexpr bool begins_again(const Sequence& sequence, std::uint16_t number) {
  const auto ahead = static_cast<std::int16_t>(static_cast<std::uint16_t>(number - sequence.last));
  return sequence.any && ahead < -64;
}

/// The number before the machine's first, by its resets: after a reset its numbers are far from
/// those before, so that a row takes them at once, however soon the reset came.
constexpr std::uint16_t first_sequence(std::uint32_t resets) {
  return static_cast<std::uint16_t>(resets * 1024u);
}

constexpr bool in_sequence(Sequence& sequence, std::uint16_t number) {
  const auto ahead = static_cast<std::int16_t>(static_cast<std::uint16_t>(number - sequence.last));
  if (sequence.any && ahead <= 0 && ahead >= -64) return false;
  sequence = {true, number};
  return true;
}

}  // namespace controller
