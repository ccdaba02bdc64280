#include "sim/bench/frame_link.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace {

using shared::Instant;
using shared::milliseconds;

sillion_frame frame(std::uint8_t number) {
  sillion_frame sent{};
  sent.id = 0x101;
  sent.length = 16;
  sent.bytes[0] = number;
  return sent;
}

std::string numbers(const std::vector<sillion_frame>& frames) {
  std::string text;
  for (const sillion_frame& one : frames) text += std::to_string(one.bytes[0]) + " ";
  return text;
}

sim::scenario::Scenario with(const std::string& kind, double amount_ratio, double by_s = 0.0) {
  sim::scenario::Scenario scenario;
  scenario.faults = {{.kind = kind, .by_s = by_s, .amount_ratio = amount_ratio}};
  return scenario;
}

/// Slots of 10 ms with one frame each; what arrives in each, by the frame's number.
std::string carried(const sim::scenario::Scenario& scenario, int slots) {
  sim::bench::FrameLink link(scenario, 0, {.rng_key = 7});
  std::string text;
  for (int slot = 0; slot < slots; ++slot)
    text += numbers(link.to_row({frame(static_cast<std::uint8_t>(slot))},
                                Instant{} + milliseconds(10) * slot)) +
            "| ";
  return text;
}

TEST(FrameLink, WithoutFaultsEveryFrameArrivesInItsSlot) {
  EXPECT_EQ(carried({}, 3), "0 | 1 | 2 | ");
}

TEST(FrameLink, FaultsDoWhatTheyAreCalled) {
  EXPECT_EQ(carried(with("lost_frames", 1.0), 3), "| | | ");
  EXPECT_EQ(carried(with("repeated_frames", 1.0), 3), "0 0 | 1 1 | 2 2 | ");
  EXPECT_EQ(carried(with("late_frames", 1.0, 20e-3), 4), "| | 0 | 1 | ");
  // 0 waits for 1 to pass, 2 for 3.
  EXPECT_EQ(carried(with("reordered_frames", 1.0), 4), "| 1 0 | | 3 2 | ");
}

// The sender's side knows the fate of each frame that the link gives it, in both directions.
TEST(FrameLink, TheSendersSideKnowsWhichFramesAreLost) {
  const sim::scenario::Scenario scenario = with("lost_frames", 0.5);
  sim::bench::FrameLink fate(scenario, 0, {.rng_key = 7}), carries(scenario, 0, {.rng_key = 7});
  int lost = 0;
  for (int k = 0; k < 400; ++k) {
    const Instant at = Instant{} + milliseconds(10) * k;
    const bool up = fate.lost_to_machine(at), down = fate.lost_to_row(at);
    EXPECT_EQ(carries.to_machine({frame(1)}, at).empty(), up);
    EXPECT_EQ(carries.to_row({frame(1)}, at).empty(), down);
    lost += (up ? 1 : 0) + (down ? 1 : 0);
  }
  EXPECT_NEAR(lost, 400, 5 * 14);  // half of 800, 5 sd of sqrt(800)/2
  const sim::scenario::Scenario none;
  sim::bench::FrameLink whole(none, 0, {.rng_key = 7});
  EXPECT_FALSE(whole.lost_to_machine({}));
}

// Each kind has a sequence of its own, so only a frame of the same kind can come out of order.
TEST(FrameLink, AFrameWaitsForTheNextOfItsKind) {
  const sim::scenario::Scenario scenario = with("reordered_frames", 1.0);
  sim::bench::FrameLink link(scenario, 0, {.rng_key = 7});
  sillion_frame other = frame(9);
  other.id = 0x102;
  EXPECT_EQ(numbers(link.to_row({frame(0), other}, {})), "");
  EXPECT_EQ(numbers(link.to_row({frame(1)}, {})), "1 0 ");
}

TEST(FrameLink, CorruptionFlipsOneBitAndAShortFrameLosesItsEnd) {
  const sim::scenario::Scenario corrupted = with("corrupted_frames", 1.0);
  sim::bench::FrameLink link(corrupted, 0, {.rng_key = 7});
  const sim::scenario::Scenario cut = with("short_frames", 1.0);
  sim::bench::FrameLink shortened(cut, 0, {.rng_key = 7});
  for (int k = 0; k < 200; ++k) {
    const auto arrived = link.to_row({frame(3)}, {});
    ASSERT_EQ(arrived.size(), 1u);
    int flipped = 0;
    for (int byte = 0; byte < SILLION_FRAME_BYTES; ++byte)
      flipped +=
          __builtin_popcount(static_cast<unsigned>(arrived[0].bytes[byte] ^ frame(3).bytes[byte]));
    EXPECT_EQ(flipped, 1);
    EXPECT_EQ(arrived[0].length, 16);
    EXPECT_LT(shortened.to_row({frame(3)}, {})[0].length, 16);
  }
}

// 1000 frames of which 30 % are lost: 300 +- 5 sd of sqrt(1000 * 0.3 * 0.7) = 14.5. Each row and
// each direction loses frames of its own, and a fault that is added takes none of the first one's
// draws.
TEST(FrameLink, SharesAreDrawnByRowDirectionAndKind) {
  const auto lost = [](const sim::scenario::Scenario& scenario, int row, bool up) {
    sim::bench::FrameLink link(scenario, row,
                               {.rng_key = 7, .row = static_cast<std::uint32_t>(row)});
    std::string text;
    for (int k = 0; k < 1000; ++k) {
      const auto arrived = up ? link.to_machine({frame(1)}, {}) : link.to_row({frame(1)}, {});
      text += arrived.empty() ? "-" : "x";
    }
    return text;
  };
  const sim::scenario::Scenario scenario = with("lost_frames", 0.3);
  const std::string row_0 = lost(scenario, 0, false);
  EXPECT_NEAR(static_cast<double>(std::count(row_0.begin(), row_0.end(), '-')), 300.0, 73.0);
  EXPECT_NE(row_0, lost(scenario, 1, false));
  EXPECT_NE(row_0, lost(scenario, 0, true));
  sim::scenario::Scenario more = scenario;
  more.faults.push_back({.kind = "repeated_frames", .amount_ratio = 0.5});
  EXPECT_EQ(row_0, lost(more, 0, false));
}

TEST(FrameLink, AFaultOfOneRowLeavesTheOthersAlone) {
  sim::scenario::Scenario scenario = with("lost_frames", 1.0);
  scenario.faults[0].row = 2;
  sim::bench::FrameLink other(scenario, 1, {.rng_key = 7});
  sim::bench::FrameLink hit(scenario, 2, {.rng_key = 7});
  EXPECT_EQ(other.to_row({frame(1)}, {}).size(), 1u);
  EXPECT_EQ(hit.to_row({frame(1)}, {}).size(), 0u);
}

}  // namespace
