#include "controller/machine_controller.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::machine_config;

sillion_frame ground_speed_of_4_mps() {
  sillion_frame frame{};
  frame.id = SILLION_BUS_GROUND_SPEED;
  frame.length = 8;
  frame.sender = 254;
  frame.bytes[0] = 0xa0;  // 4000
  frame.bytes[1] = 0x0f;
  frame.bytes[7] = 1;
  return frame;
}

template <typename Frame>
std::vector<std::pair<std::int64_t, Frame>> sent_by(const FakeHardware& machine) {
  std::vector<std::pair<std::int64_t, Frame>> found;
  for (const auto& [at_us, frame] : machine.sent) {
    Frame decoded;
    if (controller::decode(frame, decoded)) found.push_back({at_us, decoded});
  }
  return found;
}

TEST(MachineController, PassesTheSpeedOnWhenItComes) {
  FakeHardware machine(machine_config());
  for (int i = 0; i < 30; ++i) machine.receive(50'000 + i * 100'000, ground_speed_of_4_mps());
  machine.run_until(3'000'000);
  const auto motions = sent_by<controller::MotionFrame>(machine);
  ASSERT_EQ(motions.size(), 30u);
  for (std::size_t i = 0; i < 30; ++i) {
    EXPECT_EQ(motions[i].first, 50'000 + static_cast<std::int64_t>(i) * 100'000);
    EXPECT_EQ(motions[i].second.age_ms, 0);
    EXPECT_NEAR(motions[i].second.speed_umps, 4'000'000, 10);
    EXPECT_EQ(motions[i].second.sequence, i + 1);
  }
}

// The bus falls silent: MOTION goes on with a growing age, so that rows judge for themselves, and
// stops when nothing is known any more.
TEST(MachineController, RepeatsWithTheTrueAge) {
  FakeHardware machine(machine_config());
  machine.receive(50'000, ground_speed_of_4_mps());
  machine.run_until(4'000'000);
  const auto motions = sent_by<controller::MotionFrame>(machine);
  ASSERT_GE(motions.size(), 10u);
  for (const auto& [at_us, motion] : motions) {
    EXPECT_NEAR(motion.age_ms, static_cast<double>(at_us - 50'000) / 1000.0, 1.0);
  }
  EXPECT_LE(motions.back().first, 50'000 + 2'002'000);
}

TEST(MachineController, SaysNothingOfASpeedThatItNeverHad) {
  FakeHardware machine(machine_config());
  machine.run_until(2'000'000);
  EXPECT_TRUE(sent_by<controller::MotionFrame>(machine).empty());
  EXPECT_FALSE(sent_by<controller::SetPointFrame>(machine).empty());
}

TEST(MachineController, SetsPressureTenTimesASecond) {
  FakeHardware machine(machine_config());
  for (int i = 0; i < 30; ++i) machine.receive(50'000 + i * 100'000, ground_speed_of_4_mps());
  machine.run_until(3'000'000);
  EXPECT_EQ(machine.pressures_pa.size(), 30u);
  EXPECT_NEAR(machine.pressures_pa.back().second, 254'000, 300);  // worked in pressure_loop_test.cc
  const auto set_points = sent_by<controller::SetPointFrame>(machine);
  EXPECT_EQ(set_points.back().second.rate_nm, 4677);
  EXPECT_EQ(static_cast<std::uint32_t>(set_points.back().second.pressure_pa),
            machine.pressures_pa.back().second);
}

TEST(MachineController, HoldsThePressureWhenTheSpeedIsLost) {
  FakeHardware machine(machine_config());
  for (int i = 0; i < 20; ++i) machine.receive(50'000 + i * 100'000, ground_speed_of_4_mps());
  machine.run_until(8'000'000);
  EXPECT_NEAR(machine.pressures_pa.back().second, 254'000, 300);
}

// Machine and row together: the row takes what the machine sends.
TEST(MachineController, ARowLivesOnItsFrames) {
  FakeHardware machine(machine_config());
  for (int i = 0; i < 30; ++i) machine.receive(50'000 + i * 100'000, ground_speed_of_4_mps());
  machine.run_until(3'000'000);
  FakeHardware row(test::row_config());
  for (const auto& [at_us, frame] : machine.sent) row.receive(at_us, frame);
  row.drop_seed(2'000'000);
  row.run_until(3'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 2'070'000.0, 3.0);
  EXPECT_EQ(row.health.bad_frames, 0u);
}

}  // namespace
