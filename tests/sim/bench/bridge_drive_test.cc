// Shares of a step: the instants of the commands are exact, so the shares are those of arithmetic.
#include "sim/bench/bridge_drive.h"

#include <gtest/gtest.h>

namespace {

using sim::bench::BridgeDrive;
using sim::bench::BridgeTurn;

constexpr shared::Duration kStep{10'000};

sillion_bridge_command command(std::uint8_t state, std::uint16_t duty_q15 = 32768) {
  sillion_bridge_command made{};
  made.state = state;
  made.duty_q15 = duty_q15;
  made.current_ma = 1500;
  return made;
}

TEST(BridgeDrive, ACommandInsideAStepActsFromItsInstantOn) {
  BridgeDrive drive;
  drive.pending().push_back({shared::Instant{2'500}, command(SILLION_BRIDGE_DRIVE)});
  model::RowStepInput input;
  const auto turns = drive.step(shared::Instant{0}, kStep, input);
  EXPECT_EQ(input.drive_ratio, 0.75);
  EXPECT_EQ(input.current_limit_a, 1.5);
  ASSERT_EQ(turns.size(), 1u);
  EXPECT_FALSE(turns[0].was_on);
  EXPECT_TRUE(turns[0].is_on());
  EXPECT_EQ(turns[0].at, shared::Instant{2'500});

  model::RowStepInput next;
  EXPECT_TRUE(drive.step(shared::Instant{10'000}, kStep, next).empty());
  EXPECT_EQ(next.drive_ratio, 1.0);
}

TEST(BridgeDrive, StatesOfOneStepShareItInOrderOfTheirInstants) {
  BridgeDrive drive;
  drive.pending().push_back({shared::Instant{7'500}, command(SILLION_BRIDGE_REVERSE)});
  drive.pending().push_back({shared::Instant{0}, command(SILLION_BRIDGE_DRIVE, 16384)});
  drive.pending().push_back({shared::Instant{5'000}, command(SILLION_BRIDGE_FAST_DECAY)});
  model::RowStepInput input;
  const auto turns = drive.step(shared::Instant{0}, kStep, input);
  EXPECT_EQ(input.drive_ratio, 0.25);  // half of the step at half of the duty
  EXPECT_EQ(input.fast_decay_ratio, 0.25);
  EXPECT_EQ(input.reverse_ratio, 0.25);
  ASSERT_EQ(turns.size(), 3u);
  EXPECT_TRUE(turns[1].was_on);
  EXPECT_FALSE(turns[1].is_on());
}

TEST(BridgeDrive, ALateCommandActsAtTheStepsStartAndOneAtItsEndInTheNext) {
  BridgeDrive drive;
  drive.pending().push_back({shared::Instant{9'000}, command(SILLION_BRIDGE_DRIVE)});
  drive.pending().push_back({shared::Instant{20'000}, command(SILLION_BRIDGE_FAST_DECAY)});
  model::RowStepInput input;
  const auto turns = drive.step(shared::Instant{10'000}, kStep, input);
  ASSERT_EQ(turns.size(), 1u);
  EXPECT_EQ(turns[0].at, shared::Instant{10'000});
  EXPECT_EQ(input.drive_ratio, 1.0);
  EXPECT_EQ(input.fast_decay_ratio, 0.0);
  EXPECT_EQ(drive.pending().size(), 1u);
}

}  // namespace
