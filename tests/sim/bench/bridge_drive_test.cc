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

// A period of 8 us at a duty of a quarter drives from 0 to 2 us of each, from the command's instant
// (1 us) on. Steps of 10 us: [0, 10] holds 1-3 and 9-10, so 3 us; [10, 20] holds 10-11 and 17-19,
// so 3 us; [20, 30] holds 25-27. Without a period each step would have 2.5 us.
TEST(BridgeDrive, APwmPeriodMakesTheDutyAPattern) {
  BridgeDrive drive;
  drive.set_pwm_period(shared::Duration{8'000});
  drive.pending().push_back({shared::Instant{1'000}, command(SILLION_BRIDGE_DRIVE, 8192)});
  const double expected_us[] = {3.0, 3.0, 2.0};
  for (int step = 0; step < 3; ++step) {
    model::RowStepInput input;
    drive.step(shared::Instant{step * 10'000}, kStep, input);
    EXPECT_DOUBLE_EQ(input.drive_ratio, expected_us[step] / 10.0) << step;
    EXPECT_EQ(input.fast_decay_ratio, 0.0);
  }
}

// At full duty the pattern has no gaps, so the shares are those without a period, bit for bit.
TEST(BridgeDrive, AtFullDutyAPwmPeriodChangesNothing) {
  for (const int at_ns : {0, 1'234, 9'999}) {
    BridgeDrive plain, pulsed;
    pulsed.set_pwm_period(shared::Duration{7'001});
    for (int step = 0; step < 4; ++step) {
      model::RowStepInput without, with;
      for (BridgeDrive* drive : {&plain, &pulsed})
        if (step == 0)
          drive->pending().push_back({shared::Instant{at_ns}, command(SILLION_BRIDGE_DRIVE)});
      plain.step(shared::Instant{step * 10'000}, kStep, without);
      pulsed.step(shared::Instant{step * 10'000}, kStep, with);
      EXPECT_EQ(with.drive_ratio, without.drive_ratio);
    }
  }
}

}  // namespace
